// Batches of changes as the program tells them to the mirror, written and read by the words of model/src/disk/page/batch.rs and not by
// the program: [{ name, gone } or { name, least, length, pieces: [{ at, bytes }] }].

const number = (value, bytes) => {
  const field = Buffer.alloc(bytes);
  if (bytes === 8) field.writeBigUInt64BE(BigInt(value));
  else field.writeUIntBE(value, 0, bytes);
  return field;
};

/** CRC-32 bit by bit, as PNG's specification tells it. */
function crc32(bytes) {
  let sum = 0xffffffff;
  for (const byte of bytes) {
    sum ^= byte;
    for (let bit = 0; bit < 8; bit += 1) sum = sum & 1 ? (sum >>> 1) ^ 0xedb88320 : sum >>> 1;
  }
  return ~sum >>> 0;
}

/** The bytes of a batch. */
export function written(files) {
  const parts = files.flatMap(({ name, gone, least, length, pieces }) => [
    number(gone ? 0 : 1, 1),
    number(name.length, 1),
    Buffer.from(name),
    ...(gone ? [] : [number(least, 8), number(length, 8), number(pieces.length, 4)]),
    ...(gone ? [] : pieces.flatMap(({ at, bytes }) => [number(at, 8), number(bytes.length, 4), Buffer.from(bytes)])),
  ]);
  const body = Buffer.concat(parts);
  return Buffer.concat([Buffer.from('STB1'), number(body.length, 4), number(crc32(body), 4), body]);
}

/** The files of a batch. Runs in a page as well: it uses nothing of this module. */
export function read(batch) {
  const view = new DataView(batch.buffer, batch.byteOffset, batch.byteLength);
  let at = 12;
  const long = () => Number(view.getBigUint64((at += 8) - 8));
  const short = () => view.getUint32((at += 4) - 4);
  const bytes = (length) => batch.subarray(at, (at += length));
  const files = [];
  while (at < batch.byteLength) {
    const [what, length] = bytes(2);
    const name = String.fromCharCode(...bytes(length));
    if (what === 0) {
      files.push({ name, gone: true });
      continue;
    }
    const file = { name, least: long(), length: long(), pieces: [] };
    for (let left = short(); left > 0; left -= 1) file.pieces.push({ at: long(), bytes: bytes(short()) });
    files.push(file);
  }
  return files;
}

// One is the reverse of the other.
{
  const files = [
    { name: 'f12', gone: true },
    { name: 'i1', least: 3, length: 9000, pieces: [{ at: 3, bytes: Uint8Array.of(1, 2) }, { at: 8999, bytes: Uint8Array.of(3) }] },
  ];
  const plain = (all) => JSON.stringify(all.map((file) => ({ ...file, pieces: file.pieces?.map(({ at, bytes }) => [at, [...bytes]]) })));
  if (plain(read(new Uint8Array(written(files)))) !== plain(files)) throw new Error('batches are not read as they are written');
}
