package stage_test

import "testing"

func TestThirteenthSet(t *testing.T) { judge(t, "thirteenth set", fileSet(t, "thirteenth.txt")) }
