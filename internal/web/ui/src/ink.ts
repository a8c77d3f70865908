// The inks of the two grounds, the same as the server's pictures use.

export interface Inks {
  ink: [number, number, number];
  halo: [number, number, number];
  warn: [number, number, number];
  dark: boolean;
}

export const light: Inks = { ink: [22, 26, 34], halo: [255, 255, 255], warn: [176, 72, 0], dark: false };
export const night: Inks = { ink: [242, 243, 245], halo: [16, 18, 22], warn: [255, 176, 92], dark: true };

export const css = (c: readonly number[]) => `rgb(${c.join(" ")})`;
