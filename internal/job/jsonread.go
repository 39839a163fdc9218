package job

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
)

// parseJSON reads JSON to a tree, the order of keys and the spelling of numbers
// kept.
func parseJSON(data []byte) (*node, error) {
	if len(data) > maxTextBytes {
		return nil, fmt.Errorf("the JSON has %d bytes; a job has at most %d", len(data), maxTextBytes)
	}
	d := json.NewDecoder(bytes.NewReader(data))
	d.UseNumber()
	n, err := jsonValue(d, 0)
	if err != nil {
		return nil, fmt.Errorf("not readable as JSON at byte %d: %w", d.InputOffset(), err)
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return nil, errors.New("not readable as JSON: something follows the value")
	}
	return n, nil
}

func jsonValue(d *json.Decoder, depth int) (*node, error) {
	if depth > maxDepth {
		return nil, fmt.Errorf("nested more than %d deep", maxDepth)
	}
	t, err := d.Token()
	if err != nil {
		return nil, err
	}
	switch v := t.(type) {
	case json.Delim:
		if v == '[' {
			return jsonList(d, depth)
		}
		return jsonMap(d, depth)
	case string:
		return scalar(v), nil
	case json.Number:
		return &node{kind: numberNode, text: v.String()}, nil
	case bool:
		return scalar(fmt.Sprint(v)), nil
	}
	return &node{kind: nullNode}, nil
}

func jsonList(d *json.Decoder, depth int) (*node, error) {
	n := list()
	for d.More() {
		item, err := jsonValue(d, depth+1)
		if err != nil {
			return nil, err
		}
		n.items = append(n.items, item)
	}
	_, err := d.Token()
	return n, err
}

func jsonMap(d *json.Decoder, depth int) (*node, error) {
	n := mapping()
	for d.More() {
		key, err := d.Token()
		if err != nil {
			return nil, err
		}
		value, err := jsonValue(d, depth+1)
		if err != nil {
			return nil, err
		}
		n.pairs = append(n.pairs, pair{key: fmt.Sprint(key), value: value})
	}
	_, err := d.Token()
	return n, err
}

// writeJSON writes a tree as JSON, the order of keys kept.
func writeJSON(n *node) []byte {
	var b bytes.Buffer
	appendJSON(&b, n)
	return b.Bytes()
}

func appendJSON(b *bytes.Buffer, n *node) {
	switch n.kind {
	case nullNode:
		b.WriteString("null")
	case scalarNode:
		appendJSONText(b, n.text)
	case numberNode:
		b.WriteString(n.text)
	case listNode:
		b.WriteByte('[')
		for i, item := range n.items {
			if i > 0 {
				b.WriteByte(',')
			}
			appendJSON(b, item)
		}
		b.WriteByte(']')
	case mapNode:
		b.WriteByte('{')
		for i, p := range n.pairs {
			if i > 0 {
				b.WriteByte(',')
			}
			appendJSONText(b, p.key)
			b.WriteByte(':')
			appendJSON(b, p.value)
		}
		b.WriteByte('}')
	}
}

// appendJSONText quotes text; marshalling a string can't fail.
func appendJSONText(b *bytes.Buffer, s string) {
	e := json.NewEncoder(b)
	e.SetEscapeHTML(false)
	if err := e.Encode(s); err == nil {
		b.Truncate(b.Len() - 1) // the encoder ends with a line break
	}
}
