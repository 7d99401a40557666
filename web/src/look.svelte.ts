// What the device's owner has chosen of the looks, for the parts that a style
// sheet cannot reach: strokes are thicker in the sun.
import type { Theme } from './words';

export const look = $state<{ theme: Theme }>({ theme: 'day' });
export const leastStroke = (t: Theme) => (t === 'sun' ? 2.6 : 1.6); // CSS pixels
