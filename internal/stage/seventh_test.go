package stage_test

import "testing"

func TestSeventhSet(t *testing.T) { judge(t, "seventh set", fileSet(t, "seventh.txt")) }
