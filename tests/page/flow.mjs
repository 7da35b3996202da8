// The main job on the page, by hand and pen: photo in, board, block-in, readout, free colour, export, close, open again without
// a network. Real pen events come through the browser's debugging protocol (Input.dispatchMouseEvent, pointerType pen).

import assert from 'node:assert/strict';
import { mkdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { profile, serve, start } from './browser.mjs';

/** Everything that is mirrored for who does not see the canvas, as the page tells it. */
const PARTS = () =>
  [...document.querySelectorAll('#controls > div')].map((part) => {
    const { left, top, width, height } = part.getBoundingClientRect();
    return { role: part.getAttribute('role'), name: part.textContent, at: [left + width / 2, top + height / 2], size: [width, height] };
  });

/** A painter in front of the page. */
export class Painter {
  constructor(page, pictures) {
    this.page = page;
    this.pictures = pictures;
    this.faults = [];
    page.on('pageerror', (error) => this.faults.push(error.message));
    page.on('console', (line) => line.type() === 'error' && this.faults.push(line.text()));
  }

  async open(address) {
    await this.page.goto(address);
    await this.page.waitForFunction(() => document.querySelectorAll('#controls > div').length > 5, null, { timeout: 120000 });
    this.pen = await this.page.context().newCDPSession(this.page);
  }

  parts() {
    return this.page.evaluate(PARTS);
  }

  /** Waits for a control whose name fits, and gives it. */
  async part(name, role) {
    const fits = (part) => (typeof name === 'string' ? part.name === name : name.test(part.name)) && (!role || part.role === role);
    for (let tries = 0; tries < 300; tries += 1) {
      const found = (await this.parts()).find(fits);
      if (found) return found;
      await this.page.waitForTimeout(100);
    }
    throw new Error(`no ${name} among: ${(await this.parts()).map((part) => part.name).join(' | ')}`);
  }

  async press(name, role) {
    const { at } = await this.part(name, role);
    await this.page.mouse.move(...at);
    await this.page.mouse.down();
    await this.page.waitForTimeout(60);
    await this.page.mouse.up();
    await this.page.waitForTimeout(150);
  }

  /** A stroke of the pen from place to place, in the document's pixels. */
  async stroke(places) {
    const send = (type, [x, y], force, buttons) =>
      this.pen.send('Input.dispatchMouseEvent', {
        type,
        x,
        y,
        button: type === 'mouseMoved' ? 'none' : 'left',
        buttons,
        clickCount: 1,
        pointerType: 'pen',
        force,
        tiltX: 12,
        tiltY: -8,
      });
    await send('mouseMoved', places[0], 0, 0);
    await send('mousePressed', places[0], 0.4, 1);
    for (const [number, place] of places.entries()) await send('mouseMoved', place, 0.4 + (0.5 * number) / places.length, 1);
    await send('mouseReleased', places.at(-1), 0, 0);
  }

  /** Waits until the window says that every stroke is kept. */
  kept() {
    return this.part(/all strokes kept/);
  }

  async look(name) {
    if (this.pictures) {
      mkdirSync(this.pictures, { recursive: true });
      await this.page.screenshot({ path: join(this.pictures, `${name}.png`) });
    }
  }
}

/** Chooses a photo of the device from the start page. */
export async function choosePhoto(painter, photo) {
  await painter.press(/^Choose a photo/);
  const choosing = painter.page.waitForEvent('filechooser');
  await painter.press(/^A photo of this device/);
  await (await choosing).setFiles(photo);
}

export async function flow(site, photo, pictures) {
  const server = await serve(site);
  const { folder, remove } = profile();
  let browser = await start(folder);
  try {
    const painter = new Painter(await browser.context.newPage(), pictures);
    await painter.page.setViewportSize({ width: 1180, height: 820 });
    await painter.open(server.address);
    await painter.look('start');
    await choosePhoto(painter, photo);
    await painter.press(/Lay (this board|on board|the proposed board)|^Propose/);
    await painter.look('board');
    const { at: [x, y], size: [width, height] } = await painter.part('Canvas', 'img');
    for (let row = -2; row <= 2; row += 1) {
      const across = (part) => [x + (part - 0.5) * width * 0.5, y + (row * height) / 12];
      await painter.stroke([0, 0.25, 0.5, 0.75, 1].map(across));
    }
    await painter.kept();
    await painter.part(/of the paint/);
    await painter.look('block_in');
    assert.deepEqual(painter.faults, []);
    // Without a network, after the browser was closed.
    await painter.page.evaluate(() => navigator.serviceWorker.ready);
    await browser.close();
    server.close();
    browser = await start(folder);
    const again = new Painter(await browser.context.newPage(), pictures);
    await again.open(server.address);
    await again.look('offline');
  } finally {
    await browser.kill();
    server.close();
    remove();
  }
}

if (process.argv[1] === new URL(import.meta.url).pathname) {
  const [site, photo, pictures] = process.argv.slice(2);
  readFileSync(photo);
  await flow(site, photo, pictures);
  console.log('the flow is whole');
}
