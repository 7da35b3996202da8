// A worker that keeps the files in the browser's private file system, a batch of changes after the other, and tells how many it has
// kept. A batch is kept once it is whole in a log, whose end is on the disk; after that it is repeated on the files themselves. The log
// begins anew now and then. At the next start what is still in it is repeated, however far that had come: to repeat it twice does no
// harm. At the first batch that cannot be kept it stops for good: what is stored is then what was told up to there, and sound.
//
// The form of a batch is that of model/src/disk/page/batch.rs.

const MAGIC = 0x53544231;
const HEAD = 12;
const LOG = 'log';
/** Length from which on the log begins anew, bytes. */
const LONG = 4 * 2 ** 20;

let folder;
let log;
/** Bytes of whole batches in the log. */
let logged = 0;
let done = 0;
let dead = false;
/** Stored files that are being written: by name. */
const open = new Map();
/** Those of them that were written since the log began. */
const written = new Set();

/** A file to write in. Another worker that has just ended may hold it a moment longer. */
async function opened(name) {
  const file = await folder.getFileHandle(name, { create: true });
  for (let left = 40; ; left -= 1) {
    try {
      return await file.createSyncAccessHandle();
    } catch (error) {
      if (error.name !== 'NoModificationAllowedError' || left === 0) throw error;
      await new Promise((go) => setTimeout(go, 50));
    }
  }
}

function whole(count, wanted) {
  if (count !== wanted) throw new Error('no room is left on the device');
}

/** Stored files on the disk. */
const disk = {
  async file(name) {
    if (!open.has(name)) open.set(name, await opened(name));
    written.add(name);
    return open.get(name);
  },
  async remove(name) {
    open.get(name)?.close();
    open.delete(name);
    written.delete(name);
    try {
      await folder.removeEntry(name);
    } catch (error) {
      // It may never have come to be.
      if (error.name !== 'NotFoundError') throw error;
    }
  },
};

/** Repeats a batch on files. */
async function repeat(batch, files) {
  const view = new DataView(batch.buffer, batch.byteOffset, batch.byteLength);
  let at = HEAD;
  const short = () => view.getUint32((at += 4) - 4);
  const long = () => Number(view.getBigUint64((at += 8) - 8));
  const bytes = (length) => batch.subarray(at, (at += length));
  while (at < batch.byteLength) {
    const [what, length] = bytes(2);
    const name = String.fromCharCode(...bytes(length));
    if (what === 0) {
      await files.remove(name);
      continue;
    }
    const file = await files.file(name);
    file.truncate(long());
    file.truncate(long());
    for (let pieces = short(); pieces > 0; pieces -= 1) {
      const place = long();
      const piece = bytes(short());
      whole(file.write(piece, { at: place }), piece.byteLength);
    }
  }
}

/** What is in the files is on the disk, and the log begins anew. */
function settle() {
  for (const name of written) open.get(name).flush();
  written.clear();
  log.truncate(0);
  log.flush();
  logged = 0;
}

/** Writes a batch into the log, if there is room. */
function write(batch) {
  try {
    whole(log.write(batch, { at: logged }), batch.byteLength);
    log.flush();
  } catch (error) {
    log.truncate(logged);
    throw error;
  }
}

async function keep(batch) {
  if (batch.byteLength > HEAD) {
    try {
      write(batch);
    } catch (error) {
      if (logged === 0) throw error;
      // The room that the log takes may be enough.
      settle();
      write(batch);
    }
    logged += batch.byteLength;
  }
  done += 1;
  postMessage({ done });
  await repeat(batch, disk);
  if (logged > LONG) settle();
}

const SUMS = Uint32Array.from({ length: 256 }, (_, byte) => {
  let sum = byte;
  for (let bit = 0; bit < 8; bit += 1) sum = (sum >>> 1) ^ (sum & 1 ? 0xedb88320 : 0);
  return sum;
});

/** CRC-32 as zip and PNG have it. */
function sumOf(bytes) {
  let sum = -1;
  for (const byte of bytes) sum = SUMS[(sum ^ byte) & 255] ^ (sum >>> 8);
  return ~sum >>> 0;
}

/** The whole batches of a log, in their order. */
function batchesOf(bytes) {
  const view = new DataView(bytes.buffer);
  const found = [];
  for (let at = 0; at + HEAD <= bytes.byteLength && view.getUint32(at) === MAGIC; ) {
    const end = at + HEAD + view.getUint32(at + 4);
    if (end > bytes.byteLength || sumOf(bytes.subarray(at + HEAD, end)) !== view.getUint32(at + 8)) break;
    found.push(bytes.subarray(at, end));
    at = end;
  }
  return found;
}

/** A file in memory, with what is written of one on the disk. */
class InMemory {
  constructor(bytes) {
    this.bytes = bytes;
  }
  truncate(length) {
    const bytes = new Uint8Array(length);
    bytes.set(this.bytes.subarray(0, length));
    this.bytes = bytes;
  }
  write(piece, { at }) {
    this.bytes.set(piece, at);
    return piece.byteLength;
  }
}

/** Everything that is stored, one file at a time. */
async function load() {
  const root = await navigator.storage.getDirectory();
  folder = await root.getDirectoryHandle('stint', { create: true });
  // Refused here, it would be refused for every stroke.
  log = await opened(LOG);
  const bytes = new Uint8Array(log.getSize());
  log.read(bytes, { at: 0 });
  const batches = batchesOf(bytes);
  let stuck;
  try {
    for (const batch of batches) await repeat(batch, disk);
    settle();
  } catch (error) {
    // What was kept is there all the same.
    stuck = why(error);
  }
  const files = new Map();
  for await (const [name, entry] of folder.entries()) {
    if (name === LOG) continue;
    const file = await entry.getFile();
    files.set(name, { file: new InMemory(new Uint8Array(await file.arrayBuffer())), modified: file.lastModified });
  }
  if (stuck) {
    const memory = {
      file: (name) => {
        if (!files.has(name)) files.set(name, { file: new InMemory(new Uint8Array(0)), modified: Date.now() });
        return files.get(name).file;
      },
      remove: (name) => files.delete(name),
    };
    for (const batch of batches) await repeat(batch, memory);
    dead = true;
  }
  for (const [name, { file, modified }] of files) {
    postMessage({ stored: name, bytes: file.bytes, modified }, [file.bytes.buffer]);
  }
  postMessage({ loaded: true, stuck });
}

function why(error) {
  if (error.name === 'QuotaExceededError') return 'no room is left on the device';
  return error.message || String(error);
}

async function take(batch) {
  if (dead) return;
  try {
    await (batch ? keep(batch) : load());
  } catch (error) {
    dead = true;
    postMessage({ failed: why(error) });
  }
}

let last = Promise.resolve();
onmessage = ({ data }) => {
  last = last.then(() => take(data.batch));
};
