package picture

import (
	"bytes"
	"image"
	"image/png"
)

// Encode writes the picture as a PNG.
func Encode(img *image.RGBA) []byte {
	var b bytes.Buffer
	e := png.Encoder{CompressionLevel: png.BestCompression}
	if err := e.Encode(&b, img); err != nil {
		panic("picture: writing to memory") // a bytes.Buffer does not fail
	}
	return b.Bytes()
}
