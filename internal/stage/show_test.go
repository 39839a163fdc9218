package stage_test

import (
	"context"
	"fmt"
	"os"
	"strings"
	"testing"

	"foilside/internal/stage"
)

// FOILSIDE_SHOW=name prints what is said of the circuits whose names hold it.
func TestShow(t *testing.T) {
	name, ok := os.LookupEnv("FOILSIDE_SHOW")
	if !ok {
		t.Skip("prints; set FOILSIDE_SHOW")
	}
	for _, c := range everything(t) {
		if !strings.Contains(c.Name, name) {
			continue
		}
		found, err := stage.Find(context.Background(), c.Circuit)
		if err != nil {
			t.Fatal(err)
		}
		fmt.Printf("## %s\n", c.Name)
		for i, s := range found.Stages {
			fmt.Printf("%d %s (rank %d, within %d) in %v out %v\n   %v\n   %s\n", i, s.Name, s.Rank, s.Within, s.In, s.Out, s.Members, s.Text)
			for _, n := range s.Notes {
				fmt.Println("   note:", n)
			}
		}
		fmt.Println("  ", found.Feeds, "left", found.Left, "outside", found.Outside)
	}
}
