package job

// ReadText reads the text of a job. The problems list everything that is wrong
// or doubtful, by place; where one of them is no warning the document is what
// could be read and must not be worked with.
func ReadText(data []byte, filename string) (Document, []Problem) {
	root, problems := parseYAML(data, filename)
	if root == nil {
		return Document{}, problems
	}
	d, more := readTree(root, filename)
	return d, append(problems, more...)
}

// WriteText writes the document as YAML 1.2 that ReadText reads back to the
// same document.
func WriteText(d Document) []byte { return writeYAML(d.tree(false)) }

// ReadJSON reads a job in its JSON form: the same keys as the text. Places are
// given by path.
func ReadJSON(data []byte) (Document, []Problem) {
	root, err := parseJSON(data)
	if err != nil {
		return Document{}, []Problem{{Text: err.Error()}}
	}
	return readTree(root, "")
}

// MarshalJSON writes the document's JSON form: the same keys as the text, the
// order of parts kept.
func (d Document) MarshalJSON() ([]byte, error) { return writeJSON(d.tree(false)), nil }

// UnmarshalJSON reads the document's JSON form.
//
// Errors: *InvalidError.
func (d *Document) UnmarshalJSON(data []byte) error {
	got, problems := ReadJSON(data)
	if err := AsError(problems); err != nil {
		return err
	}
	*d = got
	return nil
}

// Check lists what is wrong or doubtful about a document made by a program.
func Check(d Document) []Problem {
	_, problems := readTree(d.tree(false), "")
	return problems
}

func readTree(root *node, file string) (Document, []Problem) {
	r := reader{file: file, kinds: kindTable{}}
	r.document(root)
	return r.doc, r.problems
}

// MarshalJSON writes the part as it stands under its reference.
func (p Part) MarshalJSON() ([]byte, error) { return writeJSON(p.node()), nil }

// MarshalJSON writes the reading as it stands in the list of readings.
func (r Reading) MarshalJSON() ([]byte, error) { return writeJSON(r.node()), nil }

// MarshalJSON writes the symptom as it stands in the list of symptoms.
func (s Symptom) MarshalJSON() ([]byte, error) { return writeJSON(s.node()), nil }

// MarshalJSON writes the work as it stands in the list of work done.
func (w Work) MarshalJSON() ([]byte, error) { return writeJSON(w.node()), nil }

// MarshalJSON writes a net's name, {"at": …} or {"joint": …}.
func (p Place) MarshalJSON() ([]byte, error) { return writeJSON(p.node()), nil }

// UnmarshalJSON reads a net's name, {"at": …} or {"joint": …}.
func (p *Place) UnmarshalJSON(data []byte) error {
	n, err := parseJSON(data)
	if err != nil {
		return err
	}
	r := reader{kinds: kindTable{}}
	got, ok := r.place(cursor{n, ""})
	if !ok {
		return AsError(r.problems)
	}
	*p = got
	return nil
}
