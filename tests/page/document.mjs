// The document around the program, with a stand-in for the program: what is loaded, kept, told and handed over, under the strict
// policy of the page, where any request to elsewhere and any fault of the script would be told.

import assert from 'node:assert/strict';
import { cpSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { written } from './batch.mjs';
import { WEBGL, profile, serve, start } from './browser.mjs';

const root = new URL('../../', import.meta.url).pathname;

const STUDY = Buffer.from('SQLite format 3\0 of a tram depot');
const batch = (name) => written([{ name, least: 0, length: STUDY.length, pieces: [{ at: 0, bytes: STUDY }] }]).toString('base64');

/** What the program does at its start, in a few words: makes a study, tells of two controls, and takes what comes in. */
const STAND_IN = `
export default async function init({ module_or_path }) { await WebAssembly.instantiateStreaming(module_or_path, {}); }
export class Library {
  add(name, bytes) { (globalThis.found ||= []).push([name, bytes.length]); }
  start() {
    globalThis.stintChanged();
    const canvas = document.body.appendChild(document.createElement('canvas'));
    canvas.addEventListener('pointerdown', (event) => (globalThis.pressed = [event.clientX, event.clientY]));
    globalThis.stintControls('RadioButton\\t0\\t70\\t90\\t98\\tMass\\ttrue\\t\\t\\nButton\\t10\\t20\\t110\\t60\\tStep back\\nHeading\\t0\\t0\\t50\\t20\\tdepot\\n');
    globalThis.started = true;
  }
}
let batches = ['${batch('f1')}'];
export function take_batch() { const next = batches.shift(); return next && Uint8Array.from(atob(next), (letter) => letter.charCodeAt(0)); }
globalThis.change = (batch) => { batches.push(batch); globalThis.stintChanged(); };
export function confirmed(done) { globalThis.done = done; }
export function demo_photo_arrived(photo) { globalThis.demo = photo?.length; }
export function mirror_failed(why) { globalThis.failed = why; }
export function file_arrived(name, bytes, chosen) { globalThis.arrived = [name, bytes.length, chosen]; }
export function text_arrived(text) { globalThis.text = text; }
export function text_typed(text, whole) { (globalThis.typed ||= []).push([text, whole]); }
`;

/** A folder as the build makes it, with the stand-in. */
function site() {
  const folder = mkdtempSync(join(tmpdir(), 'stint-site-'));
  cpSync(join(root, 'app/page/web'), folder, { recursive: true });
  cpSync(join(root, 'assets/desktop/app.stint.Stint.svg'), join(folder, 'icon.svg'));
  cpSync(join(root, 'assets/demo/tram_depot.jpg'), join(folder, 'demo.jpg'));
  writeFileSync(join(folder, 'stint_page.js'), STAND_IN);
  // The smallest program there is: its first eight bytes.
  writeFileSync(join(folder, 'stint_page_bg.wasm'), Buffer.from('0061736d01000000', 'hex'));
  const files = readdirSync(folder).filter((name) => name !== 'offline.js');
  const set = (name, from, to) => {
    const text = readFileSync(join(folder, name), 'utf8');
    assert.ok(text.includes(from), `${name} has ${from}`);
    writeFileSync(join(folder, name), text.replace(from, to));
  };
  set('offline.js', '@MARK@', 'test');
  set('offline.js', '@FILES@', ['./', ...files].join(' '));
  set('stint.js', '@LENGTH@', '8');
  return folder;
}

const faults = [];
async function open(browser, address, before = () => {}) {
  const page = await browser.context.newPage();
  await page.addInitScript(before);
  page.on('console', (line) => line.type() === 'error' && faults.push(line.text()));
  page.on('pageerror', (error) => faults.push(error.message));
  await page.goto(address);
  return page;
}
const started = (page) => page.waitForFunction(() => globalThis.started && globalThis.done >= 1, null, { timeout: 60000 });
const said = (page) => page.evaluate(() => [document.getElementById('shell').hidden, document.getElementById('said').textContent]);

const folder = site();
const server = await serve(folder);
const kept = profile();
let browser = await start(kept.folder, WEBGL);
try {
  const first = await open(browser, server.address);
  await started(first);
  assert.equal((await said(first))[0], true, 'the shell goes when the program is there');
  assert.equal(await first.evaluate(() => globalThis.found), undefined, 'nothing is stored yet');
  assert.equal(await first.evaluate(() => document.getElementById('asking').hidden), true, 'nothing to be kept yet');

  await first.evaluate(() => navigator.serviceWorker.ready);
  assert.equal(server.sent.filter((name) => name === '/stint_page_bg.wasm').length, 1, 'the program is sent once');

  // What is on the canvas is in the document's tree, and a press there is a press on the canvas.
  const button = first.getByRole('button', { name: 'Step back' });
  await button.waitFor({ state: 'attached' });
  await button.evaluate((element) => element.click());
  assert.deepEqual(await first.evaluate(() => globalThis.pressed), [60, 40]);
  await first.getByRole('radio', { name: 'Mass', checked: true }).waitFor({ state: 'attached' });
  await first.getByRole('heading', { name: 'depot' }).waitFor({ state: 'attached' });

  // A second tab is told, and goes on when the first is closed.
  const second = await open(browser, server.address);
  await second.waitForFunction(() => document.getElementById('said').textContent.includes('another tab'));
  assert.equal(await second.evaluate(() => globalThis.started), undefined);
  await first.close();
  await started(second);
  assert.deepEqual(await second.evaluate(() => globalThis.found), [['f1', 32]]);
  assert.match(await second.evaluate(() => document.getElementById('question').textContent), /kept in this browser alone/);
  await second.getByRole('button', { name: 'Not now' }).click();

  const choosing = second.waitForEvent('filechooser');
  await second.mouse.click(300, 300);
  await second.evaluate(() => globalThis.stintChoose(true));
  await (await choosing).setFiles(join(root, 'assets/demo/tram_depot.jpg'));
  await second.waitForFunction(() => globalThis.arrived);
  const length = readFileSync(join(root, 'assets/demo/tram_depot.jpg')).length;
  assert.deepEqual(await second.evaluate(() => globalThis.arrived), ['tram_depot.jpg', length, true]);

  const handed = second.waitForEvent('download');
  await second.evaluate(() => globalThis.stintHandOver('depot.stint', new Uint8Array(5)));
  assert.equal((await handed).suggestedFilename(), 'depot.stint');

  // On a tablet a file is shared where that is possible; when the painter thinks better of it nothing is downloaded behind their back,
  // and where sharing fails or this kind of file cannot be shared it is a download.
  await second.close();
  const tablet = await open(browser, server.address, () => {
    const plain = globalThis.matchMedia;
    globalThis.matchMedia = (query) => (query === '(pointer: coarse)' ? { matches: true } : plain(query));
    navigator.canShare = ({ files }) => files[0].name.endsWith('.png');
    navigator.share = async ({ files: [file] }) => {
      (globalThis.shared ||= []).push([file.name, file.type, file.size]);
      if (globalThis.answer) throw new DOMException('no', globalThis.answer);
    };
  });
  await started(tablet);
  const downloads = [];
  tablet.on('download', (file) => downloads.push(file.suggestedFilename()));
  const handOver = (name, answer) =>
    tablet.evaluate(async ([name, answer]) => {
      globalThis.answer = answer;
      await globalThis.stintHandOver(name, new Uint8Array(7));
    }, [name, answer]);
  await handOver('depot.png');
  await handOver('depot.png', 'AbortError');
  assert.deepEqual(await tablet.evaluate(() => globalThis.shared), [['depot.png', 'image/png', 7], ['depot.png', 'image/png', 7]]);
  const after = tablet.waitForEvent('download');
  await handOver('depot.png', 'NotAllowedError');
  await after;
  const study = tablet.waitForEvent('download');
  await handOver('depot.stint');
  await study;
  assert.deepEqual(downloads, ['depot.png', 'depot.stint']);
  await tablet.close();

  // What draws may be WebGL 2; a browser that cannot draw is told what it lacks.
  const without = [
    () => Object.defineProperty(Navigator.prototype, 'gpu', { value: undefined }),
    () => (GPU.prototype.requestAdapter = async () => null),
  ];
  for (const lacks of without) {
    const older = await open(browser, server.address, lacks);
    await started(older);
    await older.close();
    const none = await open(browser, server.address, `(${lacks})(); HTMLCanvasElement.prototype.getContext = () => null;`);
    const words = 'This browser finds no graphics device for WebGPU or WebGL 2, ';
    await none.waitForFunction((words) => document.getElementById('said').textContent.startsWith(words), words);
    assert.equal(await none.evaluate(() => globalThis.started), undefined);
    await none.close();
  }

  // Nothing is asked of anybody else, and without a network it opens again with what was stored.
  const last = await open(browser, server.address);
  await started(last);
  await last.evaluate(() => navigator.serviceWorker.ready);
  await browser.close();
  server.close();
  browser = await start(kept.folder, WEBGL);
  const offline = await open(browser, server.address);
  await started(offline);
  assert.deepEqual(await offline.evaluate(() => globalThis.found), [['f1', 32]]);
  assert.equal(await offline.evaluate(() => document.getElementById('asking').hidden), true, 'it asks once');

  await offline.waitForFunction((length) => globalThis.demo === length, length);

  // A worker that fails is told at once.
  await offline.evaluate((bad) => globalThis.change(bad), batch('no/such'));
  await offline.waitForFunction(() => globalThis.failed);
  assert.deepEqual(faults, []);
  console.log('the document does what it should');
} finally {
  await browser.kill();
  server.close();
  kept.remove();
  rmSync(folder, { recursive: true });
}
process.exit(0);
