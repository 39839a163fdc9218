package stage_test

import "testing"

func TestTwelfthSet(t *testing.T) { judge(t, "twelfth set", fileSet(t, "twelfth.txt")) }
