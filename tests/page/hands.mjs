// Hands on the page, with the browser's own events of fingers and of a pen: where there is no pen a finger paints; a hand that rests while
// a pen paints does nothing; once a pen was seen one finger moves the canvas, and two move, zoom and turn it. What was painted is read from
// the study that is handed out, whose samples also tell where on the painting a place of the window lies. Whoever runs it gives the
// folder of the page.

import assert from 'node:assert/strict';
import { copyFileSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { profile, serve, start } from './browser.mjs';
import { Program } from './program.mjs';
import { strokes } from './study.mjs';

const site = process.argv[2];
const folder = mkdtempSync(join(tmpdir(), 'stint-hands-'));
const server = await serve(site);
const kept = profile();
const browser = await start(kept.folder);
const faults = [];

/** Every stroke of the study that is open. */
async function painted(program) {
  await program.control('quick study · all strokes kept');
  await program.press(/^Study Tram depot: /, 'button');
  const handed = await program.handed(() => program.press('Download the study'));
  const file = join(folder, 'hands.stint');
  copyFileSync(handed.path, file);
  return strokes(file);
}

/** A finger goes from one place of the canvas to another. */
async function slide(program, from, to) {
  const place = await program.places();
  await program.fingers('touchStart', [{ id: 1, ...place(...from) }]);
  for (let step = 1; step <= 8; step += 1) {
    const at = (axis) => from[axis] + ((to[axis] - from[axis]) * step) / 8;
    await program.fingers('touchMove', [{ id: 1, ...place(at(0), at(1)) }]);
  }
  await program.fingers('touchEnd');
}

const far = (one, other) => Math.hypot(one.x - other.x, one.y - other.y);
const LINE = [[0.3, 0.3, 0.6], [0.4, 0.33, 0.8], [0.5, 0.3, 0.6]];

try {
  const program = await Program.open(browser, server.address, faults);
  await program.press('Look at the demo');
  await program.control('Canvas');
  await program.choose('Brush');
  const before = (await painted(program)).length;

  // A finger paints while no pen was seen.
  await slide(program, [0.3, 0.6], [0.6, 0.62]);
  let all = await painted(program);
  assert.equal(all.length, before + 1, 'a finger paints');
  assert.ok(all.at(-1).length > 2 && all.at(-1).every(({ leans }) => !leans));

  // A hand comes to rest while the pen paints, moves a little, and lifts after it.
  const place = await program.places();
  const pen = ([across, down, force]) => ({ ...place(across, down), force, tiltX: 25, tiltY: -10, twist: 40 });
  const palm = (by) => [7, 8, 9].map((id) => ({ id, ...place(0.6 + 0.03 * (id - 7) + by, 0.7 + by) }));
  await program.pen('mouseMoved', { ...pen(LINE[0]), force: 0, pressed: false });
  await program.pen('mousePressed', pen(LINE[0]));
  await program.fingers('touchStart', palm(0));
  await program.pen('mouseMoved', pen(LINE[1]));
  await program.fingers('touchMove', palm(0.05));
  await program.pen('mouseMoved', pen(LINE[2]));
  await program.pen('mouseReleased', { ...pen(LINE[2]), force: 0 });
  await program.fingers('touchMove', palm(0.12));
  await program.fingers('touchEnd');
  all = await painted(program);
  assert.equal(all.length, before + 2, 'the pen painted one stroke, the hand none');
  const first = all.at(-1);
  assert.ok(first.every(({ leans }) => leans), 'of the pen alone');
  // Nor has it moved the canvas: the same place of the window is the same place of the painting.
  await program.stroke(LINE);
  all = await painted(program);
  assert.ok(far(all.at(-1)[0], first[0]) < 0.01, `the canvas has moved by ${far(all.at(-1)[0], first[0])} px`);

  // One finger by itself moves the canvas and paints nothing, once the pen was away for a moment.
  await new Promise((go) => setTimeout(go, 1500));
  await slide(program, [0.4, 0.5], [0.6, 0.5]);
  await program.stroke(LINE);
  all = await painted(program);
  assert.equal(all.length, before + 4, 'the finger paints nothing');
  const [moved, still] = [all.at(-1)[0], first[0]];
  assert.ok(still.x - moved.x > 20 && Math.abs(still.y - moved.y) < 1, `from ${still.x}, ${still.y} to ${moved.x}, ${moved.y}`);

  // Two fingers that part make everything larger, and a turn of them turns it.
  await new Promise((go) => setTimeout(go, 1500));
  const centre = place(0.5, 0.5);
  const two = (reach, turn) => [1, -1].map((side, id) => ({
    id, x: centre.x + side * reach * Math.cos(turn), y: centre.y + side * reach * Math.sin(turn),
  }));
  await program.fingers('touchStart', two(60, 0).slice(0, 1));
  await program.fingers('touchStart', two(60, 0));
  for (let step = 1; step <= 10; step += 1) await program.fingers('touchMove', two(60 + 6 * step, 0.05 * step));
  await program.fingers('touchEnd');
  await program.stroke(LINE);
  all = await painted(program);
  assert.equal(all.length, before + 5, 'two fingers paint nothing');
  const along = (stroke) => [stroke.at(-1).x - stroke[0].x, stroke.at(-1).y - stroke[0].y];
  const [was, is] = [along(first), along(all.at(-1))];
  const zoom = Math.hypot(...was) / Math.hypot(...is);
  const turn = Math.atan2(was[1], was[0]) - Math.atan2(is[1], is[0]);
  assert.ok(Math.abs(zoom - 2) < 0.1, `zoomed by ${zoom}`);
  assert.ok(Math.abs(turn - 0.5) < 0.05, `turned by ${turn}`);

  // The history lies under the thumb.
  await program.press('Step back');
  assert.equal((await painted(program)).length, before + 4);

  assert.deepEqual(faults, []);
  console.log('hands do what they should');
} finally {
  await browser.kill();
  server.close();
  kept.remove();
  rmSync(folder, { recursive: true, force: true });
}
process.exit(0);
