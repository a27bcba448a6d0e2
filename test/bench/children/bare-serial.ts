/**
 * The floor of the latency: a serial port to a WebSocket with nothing in between. Arguments: the port, and `one`, or
 * `three` to send every line through a second process that parses it, which is as many hops as an isolated adapter has.
 * Its page shows the one number and nothing else.
 */
import { spawn } from 'node:child_process';
import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { createInterface } from 'node:readline';
import { fileURLToPath } from 'node:url';
import { SerialPort } from 'serialport';
import { WebSocketServer } from 'ws';

const [path = '', hops = 'one'] = process.argv.slice(2);

const PAGE = `<!doctype html><meta charset="utf-8"><title>bare</title><table><tr><th>going out</th><td id="v">–</td></tr></table>
<script>new WebSocket(location.href.replace('http','ws')).onmessage=e=>{document.getElementById('v').textContent=JSON.parse(e.data).outputPowerW}</script>`;

const http = createServer((_request, response) => response.setHeader('content-type', 'text/html').end(PAGE));
const sockets = new WebSocketServer({ server: http, perMessageDeflate: false });
const tell = (line: string) => {
  for (const socket of sockets.clients) socket.send(line);
};

const port = new SerialPort({ path, baudRate: 115_200, autoOpen: false });
if (hops === 'one') createInterface(port).on('line', tell);
else {
  const parser = fileURLToPath(new URL('bare-parser.js', import.meta.url));
  const child = spawn(process.execPath, [parser], { stdio: ['pipe', 'pipe', 'inherit'] });
  port.on('data', chunk => child.stdin.write(chunk));
  createInterface(child.stdout).on('line', line => tell(JSON.stringify(JSON.parse(line))));
  child.once('close', () => process.exit());
}
port.open(failure => {
  if (failure !== null) throw failure;
  http.listen(0, '127.0.0.1', () => console.log(`http://127.0.0.1:${(http.address() as AddressInfo).port}/`));
});
