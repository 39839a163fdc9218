package align

import (
	"context"
	"testing"
)

// photosJoinPairs holds that half of the marks of a real board place the other
// half no worse with the photos at hand than alone. The marks themselves are
// off by up to 7 px (photos/README.md), so that the figures say little of the
// map's own error.
func photosJoinPairs(t *testing.T, sight *Sight, b truth) {
	t.Helper()
	even, odd := everySecond(b.Pairs)
	alone, err := FromPairs(context.Background(), even, b.sizes(), Options{})
	if err != nil {
		t.Fatal(err)
	}
	a, err := sight.Find(context.Background(), even, Options{})
	if err != nil {
		t.Fatal(err)
	}
	was, wasLargest := placement(odd, alone.ToFoil)
	median, largest := placement(odd, a.ToFoil)
	t.Logf("from %d pairs: median %.2f, largest %.2f px; pairs alone %.2f, %.2f; refined %v", len(even), median, largest, was, wasLargest, a.Refined)
	if median > was || largest > 1.1*wasLargest || a.Found != FoundPoints {
		t.Errorf("worse than the pairs alone, found %q", a.Found)
	}
}
