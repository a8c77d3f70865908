package phantom

import "testing"

func BenchmarkMake(b *testing.B) {
	for range b.N {
		if _, err := Make(Default(26)); err != nil {
			b.Fatal(err)
		}
	}
}
