// A worker that repeats the changes of files in the browser's private file system, each after the one before, and tells how
// many it has made. At the first that fails it stops for good: what is stored is then what was told up to there, and sound.

let folder;
let done = 0;
let waiting = 0;
let answered = 0;
let dead = false;
/** Files that are being written: by name. */
const open = new Map();

async function handle(name) {
  let found = open.get(name);
  if (!found) {
    const file = await folder.getFileHandle(name, { create: true });
    found = await file.createSyncAccessHandle();
    open.set(name, found);
  }
  return found;
}

const changes = {
  async write({ name, at, bytes }) {
    const file = await handle(name);
    if (file.write(bytes, { at }) !== bytes.byteLength) throw new Error('no room is left on the device');
  },
  async truncate({ name, at }) {
    (await handle(name)).truncate(at);
  },
  async sync({ name }) {
    (await handle(name)).flush();
  },
  async remove({ name }) {
    open.get(name)?.close();
    open.delete(name);
    try {
      await folder.removeEntry(name);
    } catch (error) {
      // It may never have come to be.
      if (error.name !== 'NotFoundError') throw error;
    }
  },
};

/** Everything that is stored, one file at a time. */
async function load() {
  const root = await navigator.storage.getDirectory();
  folder = await root.getDirectoryHandle('stint', { create: true });
  // Refused here, it would be refused for every stroke.
  const trial = await folder.getFileHandle('trial', { create: true });
  (await trial.createSyncAccessHandle()).close();
  await folder.removeEntry('trial');
  for await (const [name, entry] of folder.entries()) {
    const file = await entry.getFile();
    const bytes = new Uint8Array(await file.arrayBuffer());
    postMessage({ stored: name, bytes, modified: file.lastModified }, [bytes.buffer]);
  }
  postMessage({ loaded: true });
}

function why(error) {
  if (error.name === 'QuotaExceededError') return 'no room is left on the device';
  return error.message || String(error);
}

async function make(change) {
  if (dead) return;
  try {
    await (change.what === 'load' ? load() : changes[change.what](change));
    if (change.what !== 'load') done += 1;
  } catch (error) {
    dead = true;
    postMessage({ failed: why(error), at: change.what });
  }
  waiting -= 1;
  // One answer for many changes that came together, but not too late: a worker that says nothing counts as dead.
  if (!dead && (waiting === 0 || performance.now() - answered > 1000)) {
    answered = performance.now();
    postMessage({ done });
  }
}

let last = Promise.resolve();
onmessage = ({ data }) => {
  waiting += 1;
  last = last.then(() => make(data));
};
