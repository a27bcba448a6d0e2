/** Day, glare or night: the owner's choice, else the system's wish (dark → night, more contrast → glare). */

export const LIGHTS = ['day', 'glare', 'night'] as const;
export type Light = (typeof LIGHTS)[number];

export interface SystemWish {
  dark: boolean;
  moreContrast: boolean;
}

export const lightOf = (chosen: string | null, wish: SystemWish): Light => {
  const known = LIGHTS.find(light => light === chosen);
  if (known !== undefined) return known;
  if (wish.dark) return 'night';
  return wish.moreContrast ? 'glare' : 'day';
};

export const nextLight = (light: Light): Light => LIGHTS[(LIGHTS.indexOf(light) + 1) % LIGHTS.length]!;
