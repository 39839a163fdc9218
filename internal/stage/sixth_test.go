package stage_test

import "testing"

func TestSixthSet(t *testing.T) { judge(t, "sixth set", fileSet(t, "sixth.txt")) }
