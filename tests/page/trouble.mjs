// What goes wrong on the page is said in words, and what was painted can be taken out all the same: the device has no room left, the
// worker that keeps files is gone, the browser keeps nothing at all, a file is garbage. Text in any script is typed into fields, and
// everything leaves one browser as one file and comes into another. Whoever runs it gives the folder of the page,
// and may give words of the only part that is to run.

import assert from 'node:assert/strict';
import { execFileSync } from 'node:child_process';
import { copyFileSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { numbers, profile, serve, start } from './browser.mjs';
import { Program } from './program.mjs';
import { STORED } from './mirror.mjs';
import { steps } from './study.mjs';

const root = new URL('../../', import.meta.url).pathname;
const PHOTO = join(root, 'assets/demo/tram_depot.jpg');
const [site, only = ''] = process.argv.slice(2);
const folder = mkdtempSync(join(tmpdir(), 'stint-trouble-'));
const server = await serve(site, { 'blank.html': '<!doctype html><title>blank</title>' });
const LINE = [[0.2, 0.3, 0.5], [0.5, 0.4, 0.8], [0.8, 0.3, 0.5]];

/** Runs a part of the test in a browser of its own. */
async function part(name, work) {
  if (!name.includes(only)) return;
  const kept = profile();
  const browser = await start(kept.folder);
  try {
    await work(browser);
    console.log(name);
  } finally {
    await browser.kill();
    kept.remove();
  }
}

async function demo(browser, before) {
  const faults = [];
  const program = await Program.open(browser, server.address, faults, before);
  await program.press('Look at the demo');
  await program.control('Canvas');
  return program;
}

/** The study that is open, downloaded; how many steps are in it. */
async function stepsOf(program, study) {
  await program.press(new RegExp(`^Study ${study}: `), 'button');
  const handed = await program.handed(() => program.press('Download the study'));
  const file = join(folder, 'downloaded.stint');
  copyFileSync(handed.path, file);
  return steps(file);
}

/** Paints, and waits until the window says that it is not kept, and why. */
async function toldWhilePainting(program, why) {
  await program.stroke(LINE);
  await program.control(why);
  await program.control(/not kept/);
}

try {
  await part('no room on the device is said, and the study can be downloaded', async (browser) => {
    const program = await Program.open(browser, server.address);
    // A browser gives a file room ahead of what is written: a device that fills up shows when a study grows.
    await program.session.send('Storage.overrideQuotaForOrigin', { origin: new URL(server.address).origin, quotaSize: 1e6 });
    await program.press('Look at the demo');
    await program.control('Canvas');
    await program.control(/no room is left on the device/);
    await program.press('Dismiss');
    const before = await stepsOf(program, 'Tram depot');
    await program.stroke(LINE);
    await program.control(/not kept/);
    assert.equal(await stepsOf(program, 'Tram depot'), before + 1, 'the stroke that was not kept is in the download');
  });

  await part('a worker that is gone is noticed', async (browser) => {
    const program = await demo(browser, (page) =>
      page.addInitScript(() => {
        const Plain = globalThis.Worker;
        globalThis.Worker = class extends Plain {
          constructor(...how) {
            super(...how);
            globalThis.keeper = this;
          }
        };
      }),
    );
    await program.control('quick study · all strokes kept');
    await program.page.evaluate(() => globalThis.keeper.terminate());
    await toldWhilePainting(program, /its worker does not answer/);
  });

  await part('a browser that keeps nothing says so at once', async (browser) => {
    const program = await Program.open(browser, server.address, [], (page) =>
      page.addInitScript(() => {
        // As private windows of some browsers answer the worker.
        const Plain = globalThis.Worker;
        globalThis.Worker = class extends Plain {
          postMessage(change, transfer) {
            if (change.batch) return super.postMessage(change, transfer);
            const data = { failed: 'storage is not available' };
            return setTimeout(() => this.dispatchEvent(new MessageEvent('message', { data })));
          }
        };
      }),
    );
    const words = await program.page.evaluate(() => document.getElementById('question').textContent);
    assert.match(words, /keeps nothing for this page \(storage is not available\)/);
    await program.page.getByRole('button', { name: 'Close' }).click();
    await program.press('Look at the demo');
    await program.control('Canvas');
    assert.ok((await stepsOf(program, 'Tram depot')) > 10);
  });

  await part('garbage is refused in words', async (browser) => {
    const random = numbers(3);
    const garbage = Buffer.from(Array.from({ length: 10_000_000 }, () => random(256)));
    const file = join(folder, 'garbage.jpg');
    writeFileSync(file, garbage);
    const program = await Program.open(browser, server.address);
    await program.give(file, () => program.press('Choose a photo…'));
    await program.control(/^garbage\.jpg is something else, not a photo/i, 'text');
    await program.control('Look at the demo');
  });

  await part('a name is composed with an input method', async (browser) => {
    const program = await Program.open(browser, server.address);
    await program.give(PHOTO, () => program.press('Choose a photo…'));
    await program.edit('Name of proposed family 1');
    await program.key('Control+a');
    for (const text of ['も', 'もr', 'もり']) {
      await program.session.send('Input.imeSetComposition', { text, selectionStart: text.length, selectionEnd: text.length });
    }
    await program.session.send('Input.insertText', { text: '森' });
    await program.page.keyboard.type(' 2');
    await program.until(
      async () => (await program.shown()).some(({ name, value }) => name === 'Name of proposed family 1' && value === '森 2'),
      'the composed name',
    );
  });

  let all;
  await part('everything leaves a browser as one file', async (browser) => {
    const program = await demo(browser);
    await program.control('quick study · all strokes kept');
    await program.press('Close');
    const handed = await program.handed(() => program.press('Download everything'));
    assert.match(handed.name, /^Stint \d{4}-\d\d-\d\d\.zip$/);
    all = join(folder, 'all.zip');
    copyFileSync(handed.path, all);
    const look = 'import sys, zipfile\nfile = zipfile.ZipFile(sys.argv[1])\nassert file.testzip() is None\nprint(*file.namelist(), sep="\\n")';
    const names = execFileSync('python3', ['-c', look, all], { encoding: 'utf8' }).trim().split('\n');
    assert.ok(names.includes('Studies/Tram depot.stint'), names.join(', '));
  });

  await part('and comes into another', async (browser) => {
    const program = await Program.open(browser, server.address);
    for (const words of [/^1 study( and .*)? came in/, /^Nothing new came in; /]) {
      await program.give(all, () => program.press('Open a study or an exported picture…'));
      await program.control(words);
    }
    await program.press('Open Tram depot');
    await program.control('Canvas');
    assert.ok((await stepsOf(program, 'Tram depot')) > 10);
  });

  await part('a study that was never listed is found at the next start', async (browser) => {
    let program = await demo(browser);
    await program.control('quick study · all strokes kept');
    await program.close();
    // As when the browser is killed after the study was stored and before the list was.
    const look = await browser.context.newPage();
    await look.goto(`${server.address}blank.html`);
    const stored = await look.evaluate(STORED);
    const list = stored.find(([, text]) => Buffer.from(text, 'base64').toString('latin1').startsWith('(\n    studies: ['));
    assert.ok(list, 'the list is stored');
    await look.evaluate(async (name) => {
      const all = await (await navigator.storage.getDirectory()).getDirectoryHandle('stint');
      // A worker that has just ended may hold it a moment longer.
      for (let left = 40; ; left -= 1) {
        try {
          return await all.removeEntry(name);
        } catch (error) {
          if (error.name !== 'NoModificationAllowedError' || left === 0) throw error;
          await new Promise((go) => setTimeout(go, 50));
        }
      }
    }, list[0]);
    await look.close();
    program = await Program.open(browser, server.address);
    await program.press('Open Tram depot');
    await program.control('Canvas');
  });
} finally {
  server.close();
  rmSync(folder, { recursive: true, force: true });
}
process.exit(0);
