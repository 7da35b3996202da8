// The worker that keeps files: what is stored after the browser was killed at any moment is what was told up to some batch, to the last
// byte, and nothing that was confirmed is missing; and so when there is no room to repeat what is in its log. Whoever runs it gives the
// number of kills.

import assert from 'node:assert/strict';
import { written } from './batch.mjs';
import { numbers, profile, serve, start } from './browser.mjs';

const WEB = new URL('../../app/page/web/', import.meta.url).pathname;

/** Batches from a seed, as the program tells them: every one changes some files, a few many bytes of them. */
function batches(seed, count) {
  const random = numbers(seed);
  const names = ['f1', 'f2', 'f3', 'i1'];
  const lengths = new Map();
  return Array.from({ length: count }, () => {
    const touched = names.filter(() => random(3) === 0);
    return touched.map((name) => {
      const before = lengths.get(name);
      if (before !== undefined && random(8) === 0) {
        lengths.delete(name);
        return { name, gone: true };
      }
      const least = Math.min(before ?? 0, random(4) === 0 ? random(9000) : 1e9);
      const pieces = Array.from({ length: random(4) }, () => ({ at: random(20000), length: 1 + random(random(9) === 0 ? 300000 : 9000), fill: random(256) }));
      const length = Math.max(least, ...pieces.map(({ at, length }) => at + length)) + random(2) * random(500);
      lengths.set(name, length);
      return { name, least, length, pieces };
    });
  });
}

/** The bytes of a batch. */
const bytesOf = (batch) =>
  written(batch.map((file) => ({ ...file, pieces: file.pieces?.map(({ at, length, fill }) => ({ at, bytes: Buffer.alloc(length, fill) })) })));

/** Files by name once a batch was kept. */
function after(files, batch) {
  const now = new Map(files);
  for (const { name, gone, least, length, pieces } of batch) {
    if (gone) {
      now.delete(name);
      continue;
    }
    const bytes = Buffer.alloc(length);
    (now.get(name) ?? Buffer.alloc(0)).subarray(0, least).copy(bytes);
    for (const { at, length: long, fill } of pieces) bytes.fill(fill, at, at + long);
    now.set(name, bytes);
  }
  return now;
}

const same = (one, other) =>
  one.size === other.size && [...one].every(([name, bytes]) => other.has(name) && bytes.equals(other.get(name)));

/** After how many of the batches, `least` or more, files are what is stored; null when after none. */
export function moment(all, stored, least) {
  let files = new Map();
  for (let count = 0; count <= all.length; count += 1) {
    if (count >= least && same(stored, files)) return count;
    if (count < all.length) files = after(files, all[count]);
  }
  return null;
}

/** The page's part: starts the worker, tells it the batches, and says how many it has kept. */
const RUN = async ({ list, pause }) => {
  const worker = new Worker('mirror.js');
  await new Promise((go, stop) => {
    worker.onmessage = ({ data }) => (data.loaded ? go() : data.failed && stop(new Error(data.failed)));
    worker.postMessage({});
  });
  worker.onmessage = ({ data }) => globalThis.confirmed(data.failed ? -1 : data.done);
  for (const [number, text] of list.entries()) {
    const batch = Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0));
    worker.postMessage({ batch }, [batch.buffer]);
    if (number % 7 === 0) await new Promise((go) => setTimeout(go, pause));
  }
};

export const STORED = () =>
  new Promise((go, stop) => {
    const found = [];
    const worker = new Worker('mirror.js');
    worker.onmessage = ({ data }) => {
      if (data.stored) found.push([data.stored, btoa(Array.from(data.bytes, (byte) => String.fromCharCode(byte)).join(''))]);
      if (data.failed) stop(new Error(data.failed));
      if (!data.loaded) return;
      // It holds files that it has written to.
      worker.terminate();
      go(found);
    };
    worker.postMessage({});
  });

export async function mirrorSurvivesKills(kills) {
  const server = await serve(WEB, { 'blank.html': '<!doctype html><title>blank</title>' });
  const random = numbers(1);
  let middle = 0;
  try {
    for (let round = 0; round < kills; round += 1) {
      const { folder, remove } = profile();
      const all = batches(round, 300);
      let confirmed = 0;
      const browser = await start(folder);
      const page = await browser.context.newPage();
      await page.exposeFunction('confirmed', (done) => {
        assert.notEqual(done, -1, 'the mirror failed');
        confirmed = done;
      });
      await page.goto(`${server.address}blank.html`);
      const running = page.evaluate(RUN, { list: all.map((batch) => bytesOf(batch).toString('base64')), pause: 1 + random(9) }).catch(() => {});
      // However busy the machine: from the first that is kept on.
      while (confirmed === 0) await new Promise((go) => setTimeout(go, 5));
      await new Promise((go) => setTimeout(go, random(700)));
      const atLeast = confirmed;
      await browser.kill();
      await running;
      const again = await start(folder);
      const look = await again.context.newPage();
      await look.goto(`${server.address}blank.html`);
      const stored = await storedFiles(look);
      const found = moment(all, stored, atLeast);
      assert.notEqual(found, null, `round ${round}: what is stored is no moment at or after batch ${atLeast}`);
      if (found > 0 && found < all.length) middle += 1;
      await again.close();
      remove();
      console.log(`kill ${round + 1}: ${atLeast} confirmed, ${found} of ${all.length} found`);
    }
  } finally {
    server.close();
  }
  assert.ok(middle > 0, 'no kill came in the middle of the batches');
}

/** What is stored, by name. */
export async function storedFiles(page) {
  return new Map((await page.evaluate(STORED)).map(([name, text]) => [name, Buffer.from(text, 'base64')]));
}

/** The device is full after some batches: all that was confirmed is found at the next start, and so when it is full still. */
export async function mirrorSurvivesAFullDevice() {
  const server = await serve(WEB, { 'blank.html': '<!doctype html><title>blank</title>' });
  const { folder, remove } = profile();
  const all = batches(3, 200);
  let [browser, confirmed, failed] = [await start(folder), 0, false];
  try {
    const page = await browser.context.newPage();
    await page.exposeFunction('confirmed', (done) => (done < 0 ? (failed = true) : (confirmed = done)));
    await page.goto(`${server.address}blank.html`);
    const session = await browser.context.newCDPSession(page);
    const limit = (quotaSize) => session.send('Storage.overrideQuotaForOrigin', { origin: new URL(server.address).origin, quotaSize });
    await limit(2e6);
    await page.evaluate(RUN, { list: all.map((batch) => bytesOf(batch).toString('base64')), pause: 1 });
    const since = Date.now();
    while (!failed && Date.now() - since < 60000) await new Promise((go) => setTimeout(go, 50));
    assert.ok(failed && confirmed > 0, `no room was told after ${confirmed} batches`);
    await limit(1);
    await page.close();
    for (const room of [1, 1e9]) {
      const look = await browser.context.newPage();
      await look.goto(`${server.address}blank.html`);
      const again = await browser.context.newCDPSession(look);
      await again.send('Storage.overrideQuotaForOrigin', { origin: new URL(server.address).origin, quotaSize: room });
      assert.notEqual(moment(all, await storedFiles(look), confirmed), null, `what is stored is no moment at or after batch ${confirmed}`);
      await look.close();
    }
    console.log(`full device: ${confirmed} of ${all.length} confirmed, all found`);
  } finally {
    await browser.kill();
    server.close();
    remove();
  }
}

// The comparison can fail.
{
  const all = batches(5, 40);
  const files = all.slice(0, 30).reduce(after, new Map());
  assert.equal(moment(all, files, 10) >= 10, true);
  files.set('f9', Buffer.from('x'));
  assert.equal(moment(all, files, 0), null);
}

if (process.argv[1] === new URL(import.meta.url).pathname) {
  await mirrorSurvivesKills(Number(process.argv[2]) || 20);
  await mirrorSurvivesAFullDevice();
}
