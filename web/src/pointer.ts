// The numbers of fingers and mice, in CSS pixels and milliseconds.
export type Reach = { drag: number; margin: number; handle: number };
export const fine: Reach = { drag: 4, margin: 8, handle: 12 };
export const coarse: Reach = { drag: 10, margin: 24, handle: 24 };
export const longPress = 500;
export const relock = 60_000;
export const holdLong = 800;
export const reachOf = (pointerType: string): Reach => (pointerType === 'mouse' ? fine : coarse);
