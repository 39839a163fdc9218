package stage_test

import "testing"

func TestFifteenthSet(t *testing.T) { judge(t, "fifteenth set", fileSet(t, "fifteenth.txt")) }
