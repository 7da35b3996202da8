// The window on a tablet on its side and upright, and on a phone on its side: the canvas has room, what is pressed is as large as a finger
// needs, the panels of a phone are drawers, and the device may be turned at any time. Whoever runs it gives the folder of the page, and may
// give a folder for pictures.

import assert from 'node:assert/strict';
import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { profile, serve, start } from './browser.mjs';
import { Program } from './program.mjs';

const [site, pictures] = process.argv.slice(2);
const DEVICES = [
  { name: 'tablet', width: 1024, height: 768, canvas: [0.4, 0.6] },
  { name: 'upright', width: 768, height: 1024, canvas: [0.95, 0.36] },
  { name: 'phone', width: 844, height: 390, canvas: [0.95, 0.75] },
];
/** Pixels of the screen for one of the document, as many as a software GPU can draw. */
const RATIO = 1.5;
/** A control is pressed from so far beside it with a finger, points (app/src/host/window/events.rs); with it a finger has the 44 points of
 * WCAG 2.2, 2.5.5. */
const REACH = 15;
const PRESSED = new Set(['button', 'checkbox', 'radio', 'combobox', 'slider']);

const server = await serve(site);
const kept = profile();
const browser = await start(kept.folder, [`--force-device-scale-factor=${RATIO}`]);

async function picture(program, name) {
  if (!pictures) return;
  mkdirSync(pictures, { recursive: true });
  await new Promise((go) => setTimeout(go, 1000));
  await program.page.screenshot({ path: join(pictures, `${name}.png`) });
}

/** Gives the page the screen of a device, and waits until what is shown has its place there. */
async function turned(program, { width, height }) {
  const metrics = { width, height, deviceScaleFactor: 0, mobile: false };
  await program.session.send('Emulation.setDeviceMetricsOverride', metrics);
  await program.until(
    () => program.page.evaluate(([width, height, ratio]) => {
      const canvas = document.querySelector('canvas');
      return canvas.clientWidth === width && canvas.clientHeight === height && Math.abs(canvas.width - width * ratio) < 1;
    }, [width, height, RATIO]),
    `the canvas to be ${width} x ${height}`,
  );
  await program.page.evaluate(async () => {
    for (let frame = 0; frame < 5; frame += 1) await new Promise((go) => requestAnimationFrame(go));
    await new Promise((go) => setTimeout(go, 300));
  });
}

/** Holds what can be pressed to the size of a finger. */
async function fits(program, { name, width, height }) {
  const shown = (await program.shown()).filter(({ role, left, top }) => PRESSED.has(role) && left < width && top < height);
  const small = shown.filter(({ left, top, right, bottom }) => Math.min(right - left, bottom - top) + 2 * REACH < 44 - 0.5);
  const told = small.map(({ name, left, top, right, bottom }) => `${name}: ${(right - left).toFixed(0)} x ${(bottom - top).toFixed(0)}`);
  assert.deepEqual(told, [], `${name}: too small for a finger`);
  assert.ok(shown.length > 5);
}

try {
  const program = await Program.open(browser, server.address);
  for (const device of DEVICES) {
    await turned(program, device);
    await program.control('Look at the demo');
    await picture(program, `${device.name}_start`);
  }
  await turned(program, DEVICES[0]);
  await program.press('Look at the demo');
  await program.control('Canvas');
  await program.control('quick study · all strokes kept');
  // A finger was here: the history lies under the thumb.
  for (const device of DEVICES) {
    await turned(program, device);
    const { left, top, right, bottom } = await program.settled('Canvas');
    const [wide, high] = [(right - left) / device.width, (bottom - top) / device.height];
    assert.ok(wide >= device.canvas[0] - 0.005 && high >= device.canvas[1] - 0.005, `${device.name}: canvas ${wide} by ${high} of the window`);
    await fits(program, device);
    const thumbs = (await program.shown()).filter(({ name }) => ['Step back', 'Step on'].includes(name));
    const low = thumbs.filter(({ top, bottom }) => bottom - top >= 44 && top > device.height / 3);
    assert.equal(low.length, 2, `${device.name}: the history under the thumb`);
    await picture(program, device.name);
  }

  // On the phone: one drawer at a time, and a swatch is picked.
  const drawers = { Reference: 'Put the reference away', Readout: 'Put the readout away', Tray: 'Size' };
  for (const [drawer, inside] of Object.entries(drawers)) {
    assert.equal(await program.has(inside), false, drawer);
    await program.press(drawer, 'checkbox');
    await program.control(inside);
    for (const other of Object.values(drawers)) assert.equal(await program.has(other), other === inside, `${drawer}: ${other}`);
    await fits(program, DEVICES[2]);
    await picture(program, `phone_${drawer.toLowerCase()}`);
  }
  await program.press('Tray', 'checkbox');
  await program.until(async () => !(await program.has('Size')), 'the tray to be shut');

  // What the study offers is a list for a finger, which scrolls where it is longer than the window.
  await program.press(/^Study Tram depot: /, 'button');
  const entry = await program.control('Rename…');
  assert.ok(entry.bottom - entry.top >= 44, `an entry is ${entry.bottom - entry.top} high`);
  await picture(program, 'phone_menu');
  await program.handed(() => program.press('Download the study'));
  console.log('the window fits tablets and a phone');
} finally {
  await browser.kill();
  server.close();
  kept.remove();
}
process.exit(0);
