package stage_test

import "testing"

func TestNinthSet(t *testing.T) { judge(t, "ninth set", fileSet(t, "ninth.txt")) }
