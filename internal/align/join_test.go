package align

import (
	"context"
	"testing"
)

// Half of the marks of a real board place the other half no worse with the
// photos at hand than alone. The marks themselves are off by up to 7 px
// (photos/README.md), so that the figures say little of the map's own error.
func TestPhotosJoinPairsOfRealBoards(t *testing.T) {
	for _, name := range []string{"SUPPLY81", "SUPPLY91"} {
		t.Run(name, func(t *testing.T) {
			b := readTruth(t, name)
			even, odd := everySecond(b.Pairs)
			alone, err := FromPairs(context.Background(), even, b.sizes(), Options{})
			if err != nil {
				t.Fatal(err)
			}
			a, err := Find(context.Background(), readPhoto(t, name+"-component.jpg"), readPhoto(t, name+"-foil.jpg"), even, Options{})
			if err != nil {
				t.Fatal(err)
			}
			was, wasLargest := placement(odd, alone.ToFoil)
			median, largest := placement(odd, a.ToFoil)
			t.Logf("median %.2f, largest %.2f px; pairs alone %.2f, %.2f; refined %v", median, largest, was, wasLargest, a.Refined)
			if median > was || largest > 1.1*wasLargest || a.Found != FoundPoints {
				t.Errorf("worse than the pairs alone, found %q", a.Found)
			}
		})
	}
}
