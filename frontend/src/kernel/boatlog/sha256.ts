// SHA-256 (FIPS 180-4), synchronous: awaiting a digest would end a database transaction.
// Checked against the example vectors of the Secure Hash Standard in the tests.

const K = new Uint32Array([
  0x428a2f98, 0x71374491, 0xb5c0fbcf, 0xe9b5dba5, 0x3956c25b, 0x59f111f1, 0x923f82a4, 0xab1c5ed5, 0xd807aa98, 0x12835b01, 0x243185be,
  0x550c7dc3, 0x72be5d74, 0x80deb1fe, 0x9bdc06a7, 0xc19bf174, 0xe49b69c1, 0xefbe4786, 0x0fc19dc6, 0x240ca1cc, 0x2de92c6f, 0x4a7484aa,
  0x5cb0a9dc, 0x76f988da, 0x983e5152, 0xa831c66d, 0xb00327c8, 0xbf597fc7, 0xc6e00bf3, 0xd5a79147, 0x06ca6351, 0x14292967, 0x27b70a85,
  0x2e1b2138, 0x4d2c6dfc, 0x53380d13, 0x650a7354, 0x766a0abb, 0x81c2c92e, 0x92722c85, 0xa2bfe8a1, 0xa81a664b, 0xc24b8b70, 0xc76c51a3,
  0xd192e819, 0xd6990624, 0xf40e3585, 0x106aa070, 0x19a4c116, 0x1e376c08, 0x2748774c, 0x34b0bcb5, 0x391c0cb3, 0x4ed8aa4a, 0x5b9cca4f,
  0x682e6ff3, 0x748f82ee, 0x78a5636f, 0x84c87814, 0x8cc70208, 0x90befffa, 0xa4506ceb, 0xbef9a3f7, 0xc67178f2,
]);

/** The digest of `bytes`: 32 bytes. */
export function sha256(bytes: Uint8Array): Uint8Array {
  const h = new Uint32Array([0x6a09e667, 0xbb67ae85, 0x3c6ef372, 0xa54ff53a, 0x510e527f, 0x9b05688c, 0x1f83d9ab, 0x5be0cd19]);
  const w = new Uint32Array(64);
  const padded = pad(bytes);
  for (let start = 0; start < padded.length; start += 64) block(h, w, padded, start);
  const out = new Uint8Array(32);
  for (let i = 0; i < 32; i++) out[i] = h[i >> 2]! >>> (24 - 8 * (i & 3));
  return out;
}

/** The digest as 64 lower-case hex digits. */
export function sha256Hex(bytes: Uint8Array): string {
  return hex(sha256(bytes));
}

/** Lower-case hex digits of some bytes. */
export function hex(bytes: Uint8Array): string {
  let text = "";
  for (const byte of bytes) text += (byte < 16 ? "0" : "") + byte.toString(16);
  return text;
}

/** The bytes of hex digits. */
export function unhex(text: string): Uint8Array {
  const bytes = new Uint8Array(text.length >> 1);
  for (let i = 0; i < bytes.length; i++) bytes[i] = Number.parseInt(text.slice(2 * i, 2 * i + 2), 16);
  return bytes;
}

function pad(bytes: Uint8Array): Uint8Array {
  const length = bytes.length;
  const padded = new Uint8Array(((length + 8) >> 6 << 6) + 64);
  padded.set(bytes);
  padded[length] = 0x80;
  const high = Math.floor(length / 0x20000000);
  const low = (length << 3) >>> 0;
  for (let i = 0; i < 4; i++) {
    padded[padded.length - 8 + i] = high >>> (24 - 8 * i);
    padded[padded.length - 4 + i] = low >>> (24 - 8 * i);
  }
  return padded;
}

function block(h: Uint32Array, w: Uint32Array, bytes: Uint8Array, start: number): void {
  for (let i = 0; i < 16; i++) {
    const at = start + 4 * i;
    w[i] = (bytes[at]! << 24) | (bytes[at + 1]! << 16) | (bytes[at + 2]! << 8) | bytes[at + 3]!;
  }
  for (let i = 16; i < 64; i++) {
    const x = w[i - 15]!;
    const y = w[i - 2]!;
    const s0 = ((x >>> 7) | (x << 25)) ^ ((x >>> 18) | (x << 14)) ^ (x >>> 3);
    const s1 = ((y >>> 17) | (y << 15)) ^ ((y >>> 19) | (y << 13)) ^ (y >>> 10);
    w[i] = (w[i - 16]! + s0 + w[i - 7]! + s1) | 0;
  }
  let a = h[0]!;
  let b = h[1]!;
  let c = h[2]!;
  let d = h[3]!;
  let e = h[4]!;
  let f = h[5]!;
  let g = h[6]!;
  let last = h[7]!;
  for (let i = 0; i < 64; i++) {
    const s1 = ((e >>> 6) | (e << 26)) ^ ((e >>> 11) | (e << 21)) ^ ((e >>> 25) | (e << 7));
    const t1 = (last + s1 + ((e & f) ^ (~e & g)) + K[i]! + w[i]!) | 0;
    const s0 = ((a >>> 2) | (a << 30)) ^ ((a >>> 13) | (a << 19)) ^ ((a >>> 22) | (a << 10));
    const t2 = (s0 + ((a & b) ^ (a & c) ^ (b & c))) | 0;
    last = g;
    g = f;
    f = e;
    e = (d + t1) | 0;
    d = c;
    c = b;
    b = a;
    a = (t1 + t2) | 0;
  }
  h[0] = h[0]! + a;
  h[1] = h[1]! + b;
  h[2] = h[2]! + c;
  h[3] = h[3]! + d;
  h[4] = h[4]! + e;
  h[5] = h[5]! + f;
  h[6] = h[6]! + g;
  h[7] = h[7]! + last;
}
