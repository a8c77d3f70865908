// Package paint holds what pictures are made with and what knows nothing of
// scans: colours that are even to the eye, inks laid through masks, letters, and
// a compact PNG.
//
// Colours are sRGB outside and Oklab inside. Places are pixels, x to the right
// and y down, the middle of the first pixel at (0.5, 0.5). The same calls give
// the same bytes on every machine.
package paint
