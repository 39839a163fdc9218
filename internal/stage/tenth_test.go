package stage_test

import "testing"

func TestTenthSet(t *testing.T) { judge(t, "tenth set", fileSet(t, "tenth.txt")) }
