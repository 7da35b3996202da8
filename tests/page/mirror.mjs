// The worker that mirrors files: what is stored after the browser was killed at any moment is what was told up to some change,
// and nothing that was confirmed is missing. Whoever runs it gives the number of kills.

import assert from 'node:assert/strict';
import { numbers, profile, serve, start } from './browser.mjs';

const WEB = new URL('../../app/page/web/', import.meta.url).pathname;

/** Changes from a seed, as the program tells them. */
function changes(seed, count) {
  const random = numbers(seed);
  const names = ['f1', 'f2', 'f3', 'i1'];
  const made = [];
  for (let number = 0; number < count; number += 1) {
    const name = names[random(names.length)];
    const what = ['write', 'write', 'write', 'truncate', 'sync', 'remove'][random(6)];
    made.push({ what, name, at: random(5000), length: 1 + random(9000), fill: random(256) });
  }
  return made;
}

/** Files by name once so many of the changes were made. */
function after(all, count) {
  const files = new Map();
  for (const { what, name, at, length, fill } of all.slice(0, count)) {
    const file = files.get(name) ?? Buffer.alloc(0);
    const grown = (to) => Buffer.concat([file, Buffer.alloc(Math.max(0, to - file.length))]);
    if (what === 'write') {
      const whole = grown(at + length);
      whole.fill(fill, at, at + length);
      files.set(name, whole);
    } else if (what === 'truncate') files.set(name, grown(at).subarray(0, at));
    else if (what === 'sync') files.set(name, file);
    else files.delete(name);
  }
  return files;
}

const same = (one, other) =>
  one.size === other.size && [...one].every(([name, bytes]) => other.has(name) && bytes.equals(other.get(name)));

/** Whether what is stored is the state after some number of changes, the last of which may have been cut off. */
export function moment(all, stored, least) {
  for (let count = least; count <= all.length; count += 1) {
    const whole = after(all, count);
    if (same(stored, whole)) return count;
    // A change in the middle: other files are as they were, this one is on its way.
    const { name } = all[count] ?? {};
    if (!name) continue;
    const others = (files) => new Map([...files].filter(([other]) => other !== name));
    if (!same(others(stored), others(whole))) continue;
    const [from, to, found] = [whole.get(name), after(all, count + 1).get(name), stored.get(name)];
    const byteOf = (bytes, at) => bytes?.[at] ?? 0;
    const between = [...(found ?? [])].every((byte, at) => byte === byteOf(from, at) || byte === byteOf(to, at));
    const long = (found?.length ?? 0) <= Math.max(from?.length ?? 0, to?.length ?? 0);
    if (between && long) return count;
  }
  return null;
}

/** The page's part: starts the worker, tells it the changes, and says what it has confirmed. */
const RUN = async ({ list, pause }) => {
  const worker = new Worker('mirror.js');
  await new Promise((go, stop) => {
    worker.onmessage = ({ data }) => (data.loaded ? go() : data.failed && stop(new Error(data.failed)));
    worker.postMessage({ what: 'load' });
  });
  worker.onmessage = ({ data }) => globalThis.confirmed(data.failed ? -1 : data.done);
  for (const [number, change] of list.entries()) {
    const bytes = new Uint8Array(change.what === 'write' ? change.length : 0).fill(change.fill);
    worker.postMessage({ what: change.what, name: change.name, at: change.at, bytes }, [bytes.buffer]);
    if (number % 7 === 0) await new Promise((go) => setTimeout(go, pause));
  }
};

export const STORED = () =>
  new Promise((go, stop) => {
    const found = [];
    const worker = new Worker('mirror.js');
    worker.onmessage = ({ data }) => {
      if (data.stored) found.push([data.stored, btoa(Array.from(data.bytes, (b) => String.fromCharCode(b)).join(''))]);
      if (data.failed) stop(new Error(data.failed));
      if (data.loaded) go(found);
    };
    worker.postMessage({ what: 'load' });
  });

export async function mirrorSurvivesKills(kills) {
  const server = await serve(WEB, { 'blank.html': '<!doctype html><title>blank</title>' });
  const random = numbers(1);
  let middle = 0;
  try {
    for (let round = 0; round < kills; round += 1) {
      const { folder, remove } = profile();
      const all = changes(round, 400);
      let confirmed = 0;
      const browser = await start(folder);
      const page = await browser.context.newPage();
      await page.exposeFunction('confirmed', (done) => {
        assert.notEqual(done, -1, 'the mirror failed');
        confirmed = done;
      });
      await page.goto(`${server.address}blank.html`);
      const running = page.evaluate(RUN, { list: all, pause: 1 + random(4) }).catch(() => {});
      await new Promise((go) => setTimeout(go, 150 + random(900)));
      const atLeast = confirmed;
      await browser.kill();
      await running;
      const again = await start(folder);
      const look = await again.context.newPage();
      await look.goto(`${server.address}blank.html`);
      const stored = new Map((await look.evaluate(STORED)).map(([name, text]) => [name, Buffer.from(text, 'base64')]));
      const found = moment(all, stored, atLeast);
      assert.notEqual(found, null, `round ${round}: what is stored is no moment at or after change ${atLeast}`);
      if (found > 0 && found < all.length) middle += 1;
      await again.close();
      remove();
      console.log(`kill ${round + 1}: ${atLeast} confirmed, ${found} of ${all.length} found`);
    }
  } finally {
    server.close();
  }
  assert.ok(middle > 0, 'no kill came in the middle of the changes');
}

// The comparison can fail.
{
  const all = changes(5, 40);
  assert.equal(moment(all, after(all, 30), 10) >= 10, true);
  const wrong = after(all, 30);
  wrong.set('f9', Buffer.from('x'));
  assert.equal(moment(all, wrong, 0), null);
}

if (process.argv[1] === new URL(import.meta.url).pathname) await mirrorSurvivesKills(Number(process.argv[2]) || 20);
