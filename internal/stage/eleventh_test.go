package stage_test

import "testing"

func TestEleventhSet(t *testing.T) { judge(t, "eleventh set", fileSet(t, "eleventh.txt")) }
