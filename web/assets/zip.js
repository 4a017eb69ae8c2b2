// Reads and writes zip archives, as far as a backup needs them (APPNOTE of the zip
// format: local headers, central directory, methods 0 and 8). The browser does the
// packing; its own streams know "deflate-raw".

const table = new Uint32Array(256).map((_, n) => {
  let c = n;
  for (let k = 0; k < 8; k++) c = c & 1 ? 0xedb88320 ^ (c >>> 1) : c >>> 1;
  return c >>> 0;
});

function crc32(bytes) {
  let c = 0xffffffff;
  for (const b of bytes) c = table[(c ^ b) & 0xff] ^ (c >>> 8);
  return (c ^ 0xffffffff) >>> 0;
}

async function through(bytes, stream) {
  return new Uint8Array(await new Response(new Blob([bytes]).stream().pipeThrough(stream)).arrayBuffer());
}

/** writeZip makes an archive of [{name, time: Date, bytes}]. */
export async function writeZip(files) {
  const parts = [], directory = [];
  let offset = 0;
  for (const file of files) {
    const name = new TextEncoder().encode(file.name);
    const packed = await through(file.bytes, new CompressionStream("deflate-raw"));
    const t = file.time;
    const header = new DataView(new ArrayBuffer(30));
    header.setUint32(0, 0x04034b50, true);
    header.setUint16(4, 20, true);
    header.setUint16(6, 0x0800, true); // names are UTF-8
    header.setUint16(8, 8, true);
    header.setUint16(10, (t.getUTCHours() << 11) | (t.getUTCMinutes() << 5) | (t.getUTCSeconds() >> 1), true);
    header.setUint16(12, (Math.max(0, t.getUTCFullYear() - 1980) << 9) | ((t.getUTCMonth() + 1) << 5) | t.getUTCDate(), true);
    header.setUint32(14, crc32(file.bytes), true);
    header.setUint32(18, packed.length, true);
    header.setUint32(22, file.bytes.length, true);
    header.setUint16(26, name.length, true);
    const entry = new DataView(new ArrayBuffer(46));
    entry.setUint32(0, 0x02014b50, true);
    entry.setUint16(4, 20, true);
    new Uint8Array(entry.buffer).set(new Uint8Array(header.buffer, 4, 26), 6);
    entry.setUint32(42, offset, true);
    parts.push(header.buffer, name, packed);
    directory.push(entry.buffer, name);
    offset += 30 + name.length + packed.length;
  }
  const size = directory.reduce((sum, part) => sum + part.byteLength, 0);
  const end = new DataView(new ArrayBuffer(22));
  end.setUint32(0, 0x06054b50, true);
  end.setUint16(8, files.length, true);
  end.setUint16(10, files.length, true);
  end.setUint32(12, size, true);
  end.setUint32(16, offset, true);
  return new Blob([...parts, ...directory, end.buffer], { type: "application/zip" });
}

/**
 * readZip gives a Map of name to a function that unpacks the file, at most so many
 * bytes of it. It throws a sentence's end ("it is not ...") on anything unsound.
 */
export async function readZip(blob) {
  const bytes = new Uint8Array(await blob.arrayBuffer());
  const view = new DataView(bytes.buffer);
  let end = bytes.length - 22;
  while (end >= 0 && view.getUint32(end, true) !== 0x06054b50) end--;
  if (end < 0) throw new Error("it is not a whole zip archive");
  const files = new Map();
  let at = view.getUint32(end + 16, true);
  for (let i = view.getUint16(end + 10, true); i > 0; i--) {
    if (at + 46 > bytes.length || view.getUint32(at, true) !== 0x02014b50) throw new Error("it is not a whole zip archive");
    const flags = view.getUint16(at + 8, true), method = view.getUint16(at + 10, true), sum = view.getUint32(at + 16, true);
    const packed = view.getUint32(at + 20, true), full = view.getUint32(at + 24, true);
    const nameLength = view.getUint16(at + 28, true), local = view.getUint32(at + 42, true);
    const name = new TextDecoder("utf-8", { fatal: true }).decode(bytes.subarray(at + 46, at + 46 + nameLength));
    if (files.has(name)) throw new Error(`the file ${JSON.stringify(name.slice(0, 60))} is in it twice`);
    if (flags & 1 || (method !== 0 && method !== 8)) throw new Error("it is packed in a way that is not known here");
    files.set(name, async (most) => {
      if (full > most) throw new Error(`the file ${JSON.stringify(name.slice(0, 60))} is larger than it may be`);
      if (local + 30 > bytes.length || view.getUint32(local, true) !== 0x04034b50) throw new Error("it is not a whole zip archive");
      const start = local + 30 + view.getUint16(local + 26, true) + view.getUint16(local + 28, true);
      const content = await unpack(bytes.subarray(start, start + packed), method, full);
      if (content?.length !== full || crc32(content) !== sum) {
        throw new Error(`the file ${JSON.stringify(name.slice(0, 60))} is damaged`);
      }
      return content;
    });
    at += 46 + nameLength + view.getUint16(at + 30, true) + view.getUint16(at + 32, true);
  }
  return files;
}

// unpack stops as soon as there is more than the archive admits to.
async function unpack(packed, method, full) {
  if (method === 0) return packed;
  const out = new Uint8Array(full);
  let length = 0;
  const reader = new Blob([packed]).stream().pipeThrough(new DecompressionStream("deflate-raw")).getReader();
  try {
    for (;;) {
      const { done, value } = await reader.read();
      if (done) return length === full ? out : null;
      if (length + value.length > full) {
        await reader.cancel();
        return null;
      }
      out.set(value, length);
      length += value.length;
    }
  } catch {
    return null;
  }
}
