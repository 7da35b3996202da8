// A browser without WebGPU: the page draws by WebGL 2, and shows what it shows by WebGPU. Whoever runs it gives the folder of the page, and
// may give a folder for the two pictures.

import assert from 'node:assert/strict';
import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { WEBGL, profile, serve, start } from './browser.mjs';
import { Program } from './program.mjs';

const [site, pictures] = process.argv.slice(2);
const WITHOUT = [() => Object.defineProperty(Navigator.prototype, 'gpu', { value: undefined }), () => (GPU.prototype.requestAdapter = async () => null)];
const LINE = Array.from({ length: 12 }, (_, at) => [0.3 + at * 0.02, 0.4, 0.6]);

const server = await serve(site);
const kept = profile();
const browser = await start(kept.folder, WEBGL);

/** The demo with a stroke painted over it, as the screen shows it: a PNG in base 64. */
async function painted(name, before = async () => {}) {
  const faults = [];
  const program = await Program.open(browser, server.address, faults, before);
  if (name === 'webgpu') {
    await program.press('Look at the demo');
  } else {
    // The demo is kept in this browser by now.
    const asked = program.page.getByText('Not now');
    if (await asked.isVisible()) await asked.click();
    await program.press(/Tram depot/, 'button');
  }
  await program.control('Canvas');
  await program.control(/all strokes kept/);
  if (name === 'webgpu') await program.stroke(LINE);
  await program.control(/all strokes kept/);
  // Away from whatever lights up under the pen.
  await program.pen('mouseMoved', { x: 3, y: 3, pressed: false });
  await new Promise((go) => setTimeout(go, 2500));
  const picture = await program.page.screenshot({ path: pictures && join(pictures, `${name}.png`) });
  const canvas = await program.settled('Canvas');
  const drawn = await program.page.evaluate(() => document.querySelector('canvas').getContext('webgl2') !== null);
  assert.equal(drawn, name !== 'webgpu', `${name}: what draws`);
  assert.deepEqual(faults, [], name);
  await program.close();
  return { picture: picture.toString('base64'), canvas };
}

/** The mean difference of two pictures within a rectangle, 8-bit codes, and how many colours the first has there. */
const COMPARE = async ([one, other, { left, top, right, bottom }]) => {
  const pixels = async (base64) => {
    const bytes = Uint8Array.from(atob(base64), (letter) => letter.charCodeAt(0));
    const picture = await createImageBitmap(new Blob([bytes], { type: 'image/png' }));
    const flat = new OffscreenCanvas(picture.width, picture.height).getContext('2d');
    flat.drawImage(picture, 0, 0);
    return flat.getImageData(left, top, right - left, bottom - top).data;
  };
  const [a, b] = [await pixels(one), await pixels(other)];
  let sum = 0;
  const colours = new Set();
  for (let i = 0; i < a.length; i += 4) {
    for (let c = 0; c < 3; c += 1) sum += Math.abs(a[i + c] - b[i + c]);
    colours.add((a[i] << 16) | (a[i + 1] << 8) | a[i + 2]);
  }
  return { mean: sum / (a.length * 0.75), colours: colours.size };
};

try {
  if (pictures) mkdirSync(pictures, { recursive: true });
  const modern = await painted('webgpu');
  for (const [at, lacks] of WITHOUT.entries()) {
    const older = await painted(`webgl_${at}`, (page) => page.addInitScript(lacks));
    const judge = await browser.context.newPage();
    const { mean, colours } = await judge.evaluate(COMPARE, [modern.picture, older.picture, modern.canvas]);
    await judge.close();
    console.log(`WebGL 2 against WebGPU: ${mean.toFixed(2)} codes apart in the mean, ${colours} colours`);
    assert.deepEqual(older.canvas, modern.canvas);
    assert.ok(colours > 200 && mean < 1, `${mean} codes, ${colours} colours`);
  }
} finally {
  await browser.kill();
  server.close();
  kept.remove();
}
process.exit(0);
