package main

import "errors"

var (
	errNoOutput = errors.New("no file is named to write to; give it with -o")
	errOnePart  = errors.New("name one part after the job: foilside replace JOB R4")
	errLogWhat  = errors.New("say what to record after the job: reading, symptom or work")
)
