// Figures of the page, which are told and held to nothing: machines differ. How long a start takes with all of it at hand, what is told the
// mirror for a stroke and for the demo, from an event of the pen to pixels that have changed, and memory. Whoever runs it gives the
// folder of the page.

import { readFileSync } from 'node:fs';
import { profile, serve, start } from './browser.mjs';
import { Program } from './program.mjs';

const site = process.argv[2];
const LINE = Array.from({ length: 40 }, (_, at) => [0.2 + at * 0.015, 0.3 + 0.1 * Math.sin(at / 5), 0.2 + at * 0.02]);

/** Counts what the mirror is told, and keeps the program's memory at hand. */
const WATCH = () => {
  globalThis.told = { batches: 0, bytes: 0 };
  const Plain = globalThis.Worker;
  globalThis.Worker = class extends Plain {
    postMessage(message, transfer) {
      if (message.batch) {
        globalThis.told.batches += 1;
        globalThis.told.bytes += message.batch.byteLength;
      }
      return super.postMessage(message, transfer);
    }
  };
  const made = WebAssembly.instantiateStreaming;
  WebAssembly.instantiateStreaming = async (...how) => {
    const result = await made(...how);
    globalThis.memory = result.instance.exports.memory;
    return result;
  };
};

/** Times from a move of the pen to the first frame in which the pixels under it are others, milliseconds. What a canvas shows can be read
 * only before it is handed over to be shown: whenever the program has given the device a frame's work. */
const FOLLOW_PEN = () => {
  const canvas = document.querySelector('canvas');
  const flat = (width, height) => Object.assign(document.createElement('canvas'), { width, height }).getContext('2d', { willReadFrequently: true });
  const small = flat(24, 24);
  const before = flat(canvas.width, canvas.height);
  globalThis.answered = [];
  let waiting = null;
  const pixels = (of, { x, y }) => {
    small.drawImage(of, x * devicePixelRatio - 12, y * devicePixelRatio - 12, 24, 24, 0, 0, 24, 24);
    return small.getImageData(0, 0, 24, 24).data.join();
  };
  addEventListener(
    'pointermove',
    (event) => {
      if (event.buttons && !waiting) waiting = { x: event.clientX, y: event.clientY, since: event.timeStamp };
    },
    { capture: true },
  );
  const { submit } = GPUQueue.prototype;
  GPUQueue.prototype.submit = function (...work) {
    submit.apply(this, work);
    if (waiting && pixels(canvas, waiting) !== pixels(before.canvas, waiting)) {
      globalThis.answered.push(performance.now() - waiting.since);
      waiting = null;
    }
    before.drawImage(canvas, 0, 0);
  };
};

const median = (all) => all.toSorted((a, b) => a - b)[Math.floor(all.length / 2)];
const told = (program) => program.page.evaluate(() => ({ ...globalThis.told }));
const server = await serve(site);
const kept = profile();
const browser = await start(kept.folder);
try {
  let program = await Program.open(browser, server.address, []);
  await program.page.evaluate(() => navigator.serviceWorker.ready);
  await program.close();
  const starts = [];
  for (let time = 0; time < 3; time += 1) {
    program = await Program.open(browser, server.address, [], (page) => page.addInitScript(WATCH));
    starts.push(await program.page.evaluate(() => performance.getEntriesByName('usable')[0]?.startTime));
    if (time < 2) await program.close();
  }
  console.log(`start, warm: ${Math.round(median(starts))} ms`);
  const before = await told(program);
  const since = Date.now();
  await program.press('Look at the demo');
  await program.control('Canvas');
  await program.control('quick study · all strokes kept');
  const demo = await told(program);
  console.log(`demo: ${((Date.now() - since) / 1000).toFixed(1)} s, ${demo.batches - before.batches} batches, ${demo.bytes - before.bytes} bytes`);
  await program.page.evaluate(FOLLOW_PEN);
  const strokes = 5;
  for (let stroke = 0; stroke < strokes; stroke += 1) {
    await program.stroke(LINE.map(([across, down, force]) => [across, down + 0.05 * stroke, force]));
  }
  await program.control('quick study · all strokes kept');
  const painted = await told(program);
  console.log(`a stroke: ${((painted.batches - demo.batches) / strokes).toFixed(1)} batches, ${Math.round((painted.bytes - demo.bytes) / strokes)} bytes`);
  const answered = await program.page.evaluate(() => globalThis.answered);
  console.log(`event of the pen to pixels: ${median(answered)?.toFixed(1)} ms median of ${answered.length}`);
  const memory = await program.page.evaluate(() => globalThis.memory?.buffer.byteLength);
  const { processInfo } = await (await browser.browser.newBrowserCDPSession()).send('SystemInfo.getProcessInfo');
  const resident = processInfo
    .filter(({ type }) => type === 'renderer')
    .map(({ id }) => Number(/VmRSS:\s+(\d+)/.exec(readFileSync(`/proc/${id}/status`, 'utf8'))?.[1] ?? 0));
  console.log(`memory: ${Math.round(memory / 2 ** 20)} MiB of the program, ${Math.round(Math.max(...resident) / 1024)} MiB of its process`);
} finally {
  await browser.kill();
  server.close();
  kept.remove();
}
process.exit(0);
