package httpapi

import (
	"bytes"
	"encoding/json"
)

// ordered is a group of keys of the job text that keeps their order.
type ordered []member

type member struct {
	key   string
	value any
}

func (o *ordered) put(key string, value any) *ordered {
	*o = append(*o, member{key, value})
	return o
}

// words puts a text unless it is empty.
func (o *ordered) words(key, text string) *ordered {
	if text != "" {
		o.put(key, text)
	}
	return o
}

// MarshalJSON writes the members in their order.
func (o ordered) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	b.WriteByte('{')
	for i, m := range o {
		if i > 0 {
			b.WriteByte(',')
		}
		key, err := json.Marshal(m.key)
		if err != nil {
			return nil, err
		}
		value, err := json.Marshal(m.value)
		if err != nil {
			return nil, err
		}
		b.Write(key)
		b.WriteByte(':')
		b.Write(value)
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

// partText is a part as the job text has it.
func partText(p Part) ordered {
	out := ordered{}
	out.put("kind", p.Kind).words("type", p.Type).words("marking", p.Marking)
	for _, x := range p.Params {
		out.put(x.Name, x.Text)
	}
	if len(p.Windings) == 0 {
		leads := ordered{}
		for _, l := range p.Leads {
			leads.put(l.Name, placeText(l.Place))
		}
		out.put("leads", leads)
	} else {
		windingsText(&out, p)
	}
	out.words("note", p.Note)
	return out
}

func windingsText(out *ordered, p Part) {
	windings, inductance := ordered{}, ordered{}
	for _, w := range p.Windings {
		one := ordered{}
		var ends []any
		for _, l := range p.Leads {
			if l.Name == w.Name+".1" || l.Name == w.Name+".2" {
				ends = append(ends, placeText(l.Place))
			}
		}
		one.put("leads", ends)
		one.words("turns", w.Turns).words("resistance", w.Resistance)
		windings.put(w.Name, one)
		inductance.words(w.Name, w.Inductance)
	}
	out.put("windings", windings)
	if len(inductance) > 0 {
		out.put("inductance", inductance)
	}
}

func placeText(p Place) any {
	if p.Net != "" {
		return p.Net
	}
	return p
}

func settingsText(s State) ordered {
	out := ordered{}
	for _, x := range s.Settings {
		out.put(x.Part, x.Text)
	}
	return out
}
