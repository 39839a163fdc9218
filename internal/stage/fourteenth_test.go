package stage_test

import "testing"

func TestFourteenthSet(t *testing.T) { judge(t, "fourteenth set", fileSet(t, "fourteenth.txt")) }
