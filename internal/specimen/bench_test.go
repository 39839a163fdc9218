package specimen

import (
	"context"
	"testing"
)

func BenchmarkGenerate60Joints(b *testing.B) {
	for i := range b.N {
		if _, err := Generate(context.Background(), 60, 0.3, uint64(i)); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkRenderPair2000Pixels(b *testing.B) {
	board, err := Generate(context.Background(), 60, 0.3, 1)
	if err != nil {
		b.Fatal(err)
	}
	for i := range b.N {
		if _, err := Render(context.Background(), board, RandomShot(2000, uint64(i), 0.3)); err != nil {
			b.Fatal(err)
		}
	}
}
