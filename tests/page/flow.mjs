// The main job on the page, as a painter with a tablet does it: a photo in, a board, a block-in with a pen, the readout, free colour, a
// picture and the study out, closed, and opened again without a network. What comes out is opened by the desktop program. And the
// same script makes the same study on the page and there.
//
// Whoever runs it gives the folder of the page, and may give a folder for pictures of the window.

import assert from 'node:assert/strict';
import { execFileSync } from 'node:child_process';
import { copyFileSync, mkdirSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { profile, serve, start } from './browser.mjs';
import { Program } from './program.mjs';
import { content, strokes } from './study.mjs';

const root = new URL('../../', import.meta.url).pathname;
const PHOTO = join(root, 'assets/demo/tram_depot.jpg');
const PROGRAM = process.env.STINT_PROGRAM || join(root, 'target/release/stint');
const [site, pictures] = process.argv.slice(2);

const folder = mkdtempSync(join(tmpdir(), 'stint-flow-'));
const stint = (...words) => execFileSync(PROGRAM, words, { encoding: 'utf8', cwd: folder });
const readout = (study) => JSON.parse(stint('readout', study, '--json'));

/** A share of the readout as the window shows it, percent: the text before the words that name it, the last of that name. */
async function share(program, words) {
  const all = await program.shown();
  const at = all.findLastIndex(({ name }) => name.startsWith(words));
  return at > 0 ? parseFloat(all[at - 1].name) : NaN;
}

/** Every share of the readout as the window shows it: the three numbers and the swatches of the bar, by name, percent. */
async function shares(program) {
  const all = await program.shown();
  const found = {};
  for (const { name } of all) {
    const part = /^(.+), ([0-9.]+) %$/.exec(name);
    if (part) found[part[1]] = Number(part[2]);
  }
  for (const words of ['from the board', 'free colour, ', 'bare ground']) found[words] = await share(program, words);
  return found;
}

/** What a readout of the command line says of the same. */
function sharesOf(said) {
  const percent = (fraction) => Number((fraction * 100).toFixed(1));
  const found = { 'from the board': percent(said.board_share), 'free colour, ': percent(said.free_share), 'bare ground': percent(said.bare_share) };
  for (const { name, share: fraction } of said.swatches) if (fraction > 0) found[name] = percent(fraction);
  return found;
}

/** Holds every share that the window shows to what the command line says of the study that was downloaded. */
async function sameShares(program, said) {
  const wanted = sharesOf(said);
  let found;
  try {
    await program.until(async () => {
      found = await shares(program);
      return Object.entries(wanted).every(([name, percent]) => Math.abs(found[name] - percent) < 0.051);
    }, 'the shares of the window');
  } catch (error) {
    assert.deepEqual(found, wanted, error.message);
  }
}

let taken = 0;
async function picture(program, name) {
  if (!pictures) return;
  mkdirSync(pictures, { recursive: true });
  await new Promise((go) => setTimeout(go, 700));
  taken += 1;
  await program.page.screenshot({ path: join(pictures, `${String(taken).padStart(2, '0')}_${name}.png`) });
}

/** Takes a file that the page hands over. */
async function keep(program, name, what) {
  const handed = await program.handed(what);
  assert.equal(handed.name, name);
  copyFileSync(handed.path, join(folder, name));
  return join(folder, name);
}

async function download(program, study) {
  await program.press(new RegExp(`^Study ${study}: `), 'button');
  return keep(program, `${study}.stint`, () => program.press('Download the study'));
}

const faults = [];
const server = await serve(site);
const kept = profile();
let browser = await start(kept.folder);
try {
  // A photo of the device.
  let program = await Program.open(browser, server.address, faults);
  await picture(program, 'start');
  await program.give(PHOTO, () => program.press('Choose a photo…'));
  await program.control('Name of proposed family 1');
  await picture(program, 'proposal');
  await program.press('Lay this board');
  await program.control('Canvas');

  // A mass and strokes with the pen; while it is down a hand that rests moves nothing.
  await program.choose('Mass');
  await program.stroke([[0.2, 0.2, 0.5], [0.8, 0.2, 0.5], [0.8, 0.5, 0.5], [0.2, 0.5, 0.5], [0.2, 0.22, 0.5]]);
  await program.choose('Brush');
  const wave = Array.from({ length: 30 }, (_, i) => [0.2 + 0.02 * i, 0.65 + 0.1 * Math.sin(i / 4), 0.1 + 0.03 * i]);
  await program.stroke(wave);
  await program.until(async () => (await share(program, 'bare ground')) < 80, 'the readout to follow');
  assert.equal(await share(program, 'from the board'), 100);
  await picture(program, 'painted');

  // Step back, and on again.
  await program.press('Step back');
  await program.press('Step on');

  // Free colour, on purpose.
  await program.press('Lift the lid of free colour');
  await picture(program, 'lid');
  await program.press('Open free colour');
  await program.edit('Free colour (#rrggbb)');
  await program.key('Control+a');
  await program.page.keyboard.type('#c03050');
  await program.press('Load the free colour');
  await program.stroke([[0.3, 0.8, 0.9], [0.5, 0.82, 0.9], [0.7, 0.8, 0.9]]);
  await program.until(async () => (await share(program, 'free colour, ')) > 0, 'the free share');
  await picture(program, 'free');

  // Out: a picture with its board, and the study.
  await program.press('Export…');
  const png = await keep(program, 'tram_depot.png', () => program.press('Export', 'button'));
  await picture(program, 'export');
  await program.press('Done');
  await program.control('quick study · all strokes kept');
  const study = await download(program, 'tram_depot');
  const there = readout(study);
  assert.ok(there.painted_px > 100000 && there.board_share < 1 && there.free_share > 0, JSON.stringify(there));
  assert.equal(there.free_colour.open, true);
  await sameShares(program, there);
  const carried = readout(png);
  const all = (said) => ({
    board: said.board_share, free: said.free_share, bare: said.bare_share,
    ...Object.fromEntries([...said.families, ...said.swatches].map(({ name, share }) => [name, share])),
  });
  const [inPicture, inStudy] = [all(carried), all(there)];
  for (const [name, fraction] of Object.entries(inStudy)) {
    assert.ok(Math.abs(inPicture[name] - fraction) < 1e-6, `${name} in the picture: ${inPicture[name]}, in the study: ${fraction}`);
  }

  const pen = strokes(study).find((stroke) => stroke.length > 5);
  const pressures = pen.map(({ pressure }) => pressure);
  assert.ok(Math.max(...pressures) > 0.9 && Math.min(...pressures) < 0.2, `the pen's pressure: ${pressures}`);
  assert.ok(pen.every(({ leans }) => leans), "the pen's lean and turn");

  // Closed, and opened again without a network.
  await program.press('Close');
  await program.control('Open tram_depot');
  await picture(program, 'start_with_study');
  await program.page.evaluate(() => navigator.serviceWorker.ready);
  await browser.close();
  server.close();
  browser = await start(kept.folder);
  program = await Program.open(browser, server.address, faults);
  if (await program.page.evaluate(() => !document.getElementById('asking').hidden)) {
    await program.page.getByRole('button', { name: 'Not now' }).click();
  }
  await program.press('Open tram_depot');
  await program.control('Canvas');
  await picture(program, 'offline');
  const again = await download(program, 'tram_depot');
  await sameShares(program, there);
  assert.deepEqual(content(again).tile, content(study).tile);
  assert.deepEqual(readout(again), there);

  // The same script makes the same study on the desktop.
  await program.press('Close');
  await program.press('Look at the demo');
  await program.control('Canvas');
  await program.control('quick study · all strokes kept');
  await picture(program, 'demo');
  const demo = content(await download(program, 'Tram depot'));
  stint('demo', '--out', 'demo', '--engine', 'cpu');
  const native = content(join(folder, 'demo/tram_depot.stint'));
  // How long it took is the machine's affair.
  delete demo.worked;
  delete native.worked;
  assert.deepEqual(demo, native);

  // A study of the desktop is opened, and painted on, here; and that one there.
  const theirs = join(folder, 'demo/depot_by_day.stint');
  copyFileSync(join(folder, 'demo/tram_depot.stint'), theirs);
  await program.press('Close');
  await program.give(theirs, () => program.press('Open a study or an exported picture…'));
  await program.control(/^Study depot_by_day: /, 'button');
  await program.control('Canvas');
  await sameShares(program, readout(theirs));
  assert.deepEqual(content(await download(program, 'depot_by_day')).tile, content(theirs).tile);
  await program.choose('Brush');
  await program.stroke([[0.3, 0.3, 0.9], [0.5, 0.32, 0.9], [0.7, 0.3, 0.9]]);
  await program.control('quick study · all strokes kept');
  const painted = await download(program, 'depot_by_day');
  assert.equal(strokes(painted).length, strokes(theirs).length + 1);
  await sameShares(program, readout(painted));

  assert.deepEqual(faults, []);
  console.log('the main job is done on the page');
} finally {
  await browser.kill();
  server.close();
  kept.remove();
  rmSync(folder, { recursive: true, force: true });
}
process.exit(0);
