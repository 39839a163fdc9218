package stage_test

import "testing"

func TestEighthSet(t *testing.T) { judge(t, "eighth set", fileSet(t, "eighth.txt")) }
