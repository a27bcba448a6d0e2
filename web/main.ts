/** Entry of the page, fetched by the shell once its first frame has really been shown. */
import { addFonts } from './fonts.ts';
import { run } from './page.ts';

addFonts(document);
run();
