// The browser is killed at random moments while somebody paints, steps back and exports on the page. What is stored afterwards passes
// SQLite's own check, has every change that the page had confirmed, and opens again. Whoever runs it gives the folder of the page,
// the number of kills, and may give a number for other moments than the usual ones.

import assert from 'node:assert/strict';
import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { read } from './batch.mjs';
import { numbers, profile, serve, start } from './browser.mjs';
import { Program } from './program.mjs';
import { storedFiles } from './mirror.mjs';

/** First bytes of a database (SQLite's file format, section 1.3) and of its rollback journal (section 3). */
const DATABASE = 'SQLite format 3\0';
const JOURNAL = Buffer.from('d9d505f920a163d7', 'hex');
/** Where a database counts its transactions, a big-endian number (section 1.3.8). */
const COUNTER = 24;

/** Follows what the program tells the mirror: which transactions are whole in which batch, and which of them the mirror has kept. */
const FOLLOW = (filesOf, magic, counterAt) => {
  const Plain = globalThis.Worker;
  const journals = new Set();
  const whole = [];
  let [told, counter] = [0, 0];
  globalThis.Worker = class extends Plain {
    constructor(...how) {
      super(...how);
      this.addEventListener('message', ({ data }) => {
        const confirmed = whole.filter(({ at }) => at <= data.done).at(-1);
        if (confirmed) globalThis.confirmedTransactions(confirmed.counter);
      });
    }
    postMessage(message, transfer) {
      if (message.batch) {
        told += 1;
        for (const { name, gone, pieces } of filesOf(message.batch)) {
          if (gone) journals.delete(name);
          const first = pieces?.find(({ at, bytes }) => at === 0 && bytes.length >= 100)?.bytes;
          if (first && magic.every((byte, place) => first[place] === byte)) journals.add(name);
          else if (first && first[0] === 83 && first[1] === 81) counter = new DataView(first.buffer, first.byteOffset).getUint32(counterAt);
        }
        // A transaction is whole once its journal is gone ("Atomic Commit In SQLite", section 3.11).
        if (journals.size === 0) whole.push({ at: told, counter });
      }
      return super.postMessage(message, transfer);
    }
  };
};

/** SQLite's own check, and how much is in the study once an unfinished transaction is rolled back. */
function check(database, journal) {
  const folder = mkdtempSync(join(tmpdir(), 'stint-kill-'));
  const file = join(folder, 'study.stint');
  writeFileSync(file, database);
  if (journal) writeFileSync(`${file}-journal`, journal);
  const look =
    'import sqlite3, sys\ndb = sqlite3.connect(sys.argv[1])\n' +
    'print(db.execute("PRAGMA integrity_check").fetchone()[0], db.execute("SELECT count(*) FROM step").fetchone()[0])\n' +
    `print(int.from_bytes(open(sys.argv[1], "rb").read()[${COUNTER}:${COUNTER + 4}], "big"))`;
  const [found, steps, counter] = execFileSync('python3', ['-c', look, file], { encoding: 'utf8' }).trim().split(/\s+/);
  rmSync(folder, { recursive: true });
  return { found, steps: Number(steps), counter: Number(counter) };
}

/** Paints, steps back and exports until the browser is gone. */
async function paint(program, random) {
  for (let done = 0; ; done += 1) {
    const at = () => [0.15 + random(700) / 1000, 0.15 + random(700) / 1000, 0.2 + random(800) / 1000];
    await program.stroke([at(), at(), at(), at()]);
    if (done % 5 === 4) await program.key('Control+z');
    if (done % 8 === 7) await program.key('Control+Shift+z');
    if (done % 10 === 9) {
      await program.press('Export…');
      await program.press('Export', 'button');
      await program.press('Done');
    }
  }
}

const [site, kills] = [process.argv[2], Number(process.argv[3]) || 20];
const server = await serve(site, { 'blank.html': '<!doctype html><title>blank</title>' });
const kept = profile();
const random = numbers(Number(process.argv[4]) || 7);
const counts = [];
let [confirmed, browser] = [0, null];
try {
  for (let round = 0; round <= kills; round += 1) {
    browser = await start(kept.folder);
    if (round > 0) {
      const look = await browser.context.newPage();
      await look.goto(`${server.address}blank.html`);
      const files = [...(await storedFiles(look)).values()];
      await look.close();
      const databases = files.filter((bytes) => bytes.subarray(0, 16).toString('latin1') === DATABASE);
      const journals = files.filter((bytes) => bytes.subarray(0, 8).equals(JOURNAL));
      assert.equal(databases.length, 1, 'one study is stored');
      assert.ok(journals.length < 2);
      const { found, steps, counter } = check(databases[0], journals[0]);
      console.log(`kill ${round}: ${steps} steps${journals[0] ? ', one cut off' : ''}; transactions ${confirmed} confirmed, ${counter} stored`);
      assert.equal(found, 'ok');
      assert.ok(counter >= confirmed, 'a confirmed change is missing');
      counts.push(steps);
      if (round === kills) break;
    }
    const program = await Program.open(browser, server.address, [], async (page) => {
      // A page tells 0 until it has written its study once; the count in a study never goes back.
      await page.exposeFunction('confirmedTransactions', (counter) => (confirmed = Math.max(confirmed, counter)));
      await page.addInitScript({ content: `(${FOLLOW})(${read}, ${JSON.stringify([...JOURNAL])}, ${COUNTER})` });
    });
    // The first round makes the study, the others open what is left of it.
    await program.press(round === 0 ? 'Look at the demo' : 'Open Tram depot');
    await program.control('Canvas');
    // What is opened is listed once it is stored; from then on the study is found again.
    if (round === 0) await program.control('quick study · all strokes kept');
    const painting = paint(program, random).catch(() => {});
    // However busy the machine: mostly after something of this round was kept, now and then before.
    const earlier = confirmed;
    const since = Date.now();
    while (round % 5 !== 4 && confirmed === earlier && Date.now() - since < 120000) await new Promise((go) => setTimeout(go, 20));
    await new Promise((go) => setTimeout(go, random(3500)));
    await browser.kill();
    await painting;
  }
  assert.ok(kills < 2 || Math.max(...counts) > counts[0], 'something was painted');
  assert.ok(confirmed > 0, 'something was confirmed');
} finally {
  await browser?.kill();
  server.close();
  kept.remove();
}
console.log(`${kills} kills, every confirmed change is there`);
process.exit(0);
