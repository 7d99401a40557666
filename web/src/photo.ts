// A picture laid under the sketch: a drone's photo or an old drawing, set to
// scale by two places on it whose distance is known. It stays on this device
// and is no part of the document. This is where a finger is on a picture; no
// number of the design comes from here.
import type { Pt } from './view';

export type Photo = {
  blob: Blob; w: number; h: number; // pixels
  pin: Pt; at: Pt; // this pixel lies at this place of the ground, m
  scale: number; // m to the pixel
  turn: number; // degrees, anticlockwise
  dim: number; // how strongly it is drawn, 0 to 1
  set: boolean; // it was set to scale
};

export const longest = 2048;
const heaviest = 60e6; // bytes
const widest = 120e6; // pixels

// NoPicture says in one sentence why a file is not taken.
export class NoPicture extends Error {}

// read takes a picture in, upright, made smaller where it is large, and without
// what else its file says.
export async function read(file: File): Promise<{ blob: Blob; w: number; h: number }> {
  const name = file.name || 'the file';
  if (file.size > heaviest) throw new NoPicture(`${name} is ${Math.round(file.size / 1e6)} MB. Choose a picture under ${heaviest / 1e6} MB.`);
  const not = new NoPicture(`${name} cannot be read as a picture. Choose a photo, a JPEG or a PNG.`);
  if (file.type && !file.type.startsWith('image/')) throw not;
  const bitmap = await createImageBitmap(file).catch(() => {
    throw not;
  });
  try {
    if (bitmap.width * bitmap.height > widest) throw new NoPicture(`${name} is ${bitmap.width} by ${bitmap.height} dots. Choose a picture under ${widest / 1e6} million dots.`);
    const k = Math.min(1, longest / Math.max(bitmap.width, bitmap.height));
    const w = Math.max(1, Math.round(bitmap.width * k));
    const h = Math.max(1, Math.round(bitmap.height * k));
    const canvas = document.createElement('canvas');
    canvas.width = w;
    canvas.height = h;
    const c = canvas.getContext('2d')!;
    c.fillStyle = '#fff';
    c.fillRect(0, 0, w, h);
    c.imageSmoothingQuality = 'high';
    c.drawImage(bitmap, 0, 0, w, h);
    const blob = await new Promise<Blob | null>((done) => canvas.toBlob(done, 'image/jpeg', 0.85));
    if (!blob) throw not;
    return { blob, w, h };
  } finally {
    bitmap.close();
  }
}

// laid puts a new picture over a stretch of ground, not to scale yet.
export const laid = (p: { blob: Blob; w: number; h: number }, middle: Pt, wide: number): Photo => ({ ...p, pin: [p.w / 2, p.h / 2], at: middle, scale: wide / p.w, turn: 0, dim: 0.6, set: false });

const turned = ([x, y]: Pt, deg: number): Pt => {
  const a = (deg * Math.PI) / 180;
  return [x * Math.cos(a) - y * Math.sin(a), x * Math.sin(a) + y * Math.cos(a)];
};

export function toGround(p: Photo, [u, v]: Pt): Pt {
  const [x, y] = turned([(u - p.pin[0]) * p.scale, (p.pin[1] - v) * p.scale], p.turn);
  return [p.at[0] + x, p.at[1] + y];
}

export function toPixel(p: Photo, [x, y]: Pt): Pt {
  const [a, b] = turned([x - p.at[0], y - p.at[1]], -p.turn);
  return [p.pin[0] + a / p.scale, p.pin[1] - b / p.scale];
}

export const ways = { east: 0, north: 90, west: 180, south: -90 } as const;
export type Way = keyof typeof ways | 'tapped';
export const nearSquare = 12; // degrees

// wayOf says how the line between two taps runs: square where it is nearly so,
// since most lines that one knows the length of are.
export function wayOf(a: Pt, b: Pt): Way {
  const deg = (Math.atan2(b[1] - a[1], b[0] - a[0]) * 180) / Math.PI;
  const off = (w: number) => Math.abs(((deg - w + 540) % 360) - 180);
  return (Object.keys(ways) as (keyof typeof ways)[]).find((w) => off(ways[w]) <= nearSquare) ?? 'tapped';
}

// scaled sets a picture to scale: the two places tapped on it, where they are
// shown now, lie so far apart. The first stays where it is.
export function scaled(p: Photo, a: Pt, b: Pt, metres: number, way: Way = wayOf(a, b)): Photo {
  const is = Math.hypot(b[0] - a[0], b[1] - a[1]);
  if (!(metres > 0) || !(is > 0)) return p;
  const deg = (Math.atan2(b[1] - a[1], b[0] - a[0]) * 180) / Math.PI;
  return { ...p, pin: toPixel(p, a), at: a, scale: (p.scale * metres) / is, turn: way === 'tapped' ? p.turn : p.turn + ways[way] - deg, set: true };
}

// moved lays the picture's pinned place, the first that was tapped, at another.
export const moved = (p: Photo, at: Pt): Photo => ({ ...p, at });

// matrix is how the picture's pixels lie on the screen.
export function matrix(p: Photo, px: (g: Pt) => Pt): string {
  const o = px(toGround(p, [0, 0]));
  const x = px(toGround(p, [1, 0]));
  const y = px(toGround(p, [0, 1]));
  return `matrix(${[x[0] - o[0], x[1] - o[1], y[0] - o[0], y[1] - o[1], o[0], o[1]].map((v) => Number(v.toFixed(6))).join(' ')})`;
}
