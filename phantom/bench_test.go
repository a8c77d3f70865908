package phantom_test

import (
	"testing"

	"selvage/phantom"
)

func BenchmarkMake(b *testing.B) {
	for range b.N {
		if _, err := phantom.Make(phantom.Default(26)); err != nil {
			b.Fatal(err)
		}
	}
}
