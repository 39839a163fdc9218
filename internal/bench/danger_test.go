package bench

import (
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"foilside/internal/charge"
	"foilside/internal/job"
)

// storesText is a unit whose supply, bleeder and store are drawn; a quarter of
// them stand on the mains.
func storesText(t *rapid.T) string {
	source := fmt.Sprintf("{kind: supply, voltage: %d V, resistance: 10 Ω, leads: {+: s, -: chassis}}", rapid.SampledFrom([]int{9, 24, 90, 350, 2500}).Draw(t, "volts"))
	if rapid.IntRange(0, 3).Draw(t, "mains") == 0 {
		source = "{kind: signal, voltage: 230 V, frequency: 50 Hz, leads: {+: s, -: chassis}}"
	}
	text := "common: chassis\nparts:\n  PS1: " + source + `
  R1: {kind: resistor, value: 10k, leads: {1: s, 2: f}}
  R2: {kind: resistor, value: 220k, leads: {1: f, 2: out}}
  R3: {kind: resistor, value: 100k, leads: {1: out, 2: chassis}}
  C1: {kind: capacitor, value: ` + rapid.SampledFrom([]string{"100 nF", "2.2 µF", "47 µF"}).Draw(t, "farads") + `, leads: {1: f, 2: chassis}}
`
	if rapid.Bool().Draw(t, "second store") {
		text += "  C2: {kind: capacitor, value: 1 µF, leads: {1: out, 2: chassis}}\n"
	}
	return text + "states:\n  \"off\": {PS1: off}\n  \"on\": {PS1: on}\n"
}

// alwaysRounds are drawn in every run; a study draws as many as -rapid.checks says.
const alwaysRounds = 6

// Whatever is logged, in whatever order: no proposal to read without power
// comes without making safe where a store may be dangerous, and none of a unit
// that gets no guidance passes for harmless.
func TestNoReadingIsProposedBeforeMakingSafe(t *testing.T) {
	guarded, rounds := 0, 0
	rapid.Check(t, func(rt *rapid.T) {
		if rounds++; rounds > alwaysRounds && os.Getenv("FOILSIDE_STUDY") == "" {
			return
		}
		b := openText(t, storesText(rt), nil)
		for range rapid.IntRange(1, 2).Draw(rt, "steps") {
			report, err := b.Charge(t.Context())
			if err != nil {
				rt.Fatal(err)
			}
			found, err := b.Diagnosis(t.Context())
			if err != nil {
				rt.Fatal(err)
			}
			guarded += checkProposals(rt, report, found)
			logSomething(t, rt, b)
		}
	})
	if guarded == 0 {
		t.Error("no unit was drawn that has to be made safe")
	}
}

// checkProposals counts the proposals that had to be guarded.
func checkProposals(t *rapid.T, report charge.Report, found *Found) (guarded int) {
	dangerous := report.Refused != ""
	for _, s := range report.Stores {
		dangerous = dangerous || s.Hazardous
	}
	for _, p := range found.Plan.Next {
		h := p.Hazard
		switch {
		case report.Refused != "" && (!h.Danger || h.Text != report.Refused || len(h.Steps) > 0):
			t.Fatalf("%s at %s of a unit without guidance: %+v", p.Mode, p.Red, h)
		case p.Mode.Powered() || !dangerous:
			continue
		case !h.MakeSafe || !h.Danger:
			t.Fatalf("%s at %s is proposed without making safe: %+v", p.Mode, p.Red, h)
		case report.Refused == "" && !strings.Contains(strings.Join(h.Steps, " "), "Discharge"):
			t.Fatalf("%s at %s says to make safe, not how: %v", p.Mode, p.Red, h.Steps)
		}
		guarded++
	}
	return guarded
}

// logSomething records what a person might, sensible or not.
func logSomething(t *testing.T, rt *rapid.T, b *Bench) {
	var err error
	switch rapid.IntRange(0, 4).Draw(rt, "deed") {
	case 0:
		_, err = b.LogReading(t.Context(), Query{Mode: "ohms", Red: "out", State: "off"}, "70k", "")
	case 1:
		_, err = b.LogReading(t.Context(), Query{Mode: "volts-dc", Red: "f", State: "on"}, "5 V", "")
	case 2:
		_, err = b.LogReading(t.Context(), Query{Mode: "continuity", Red: "s", Black: "f", State: "off"}, "separate", "")
	case 3:
		_, err = b.LogSymptom(t.Context(), job.Symptom{Part: "R1", Seen: "hot", State: "on"})
	case 4:
		_, err = b.LogWork(t.Context(), MadeSafe(clock(), "C1: 0 V"))
	}
	if err != nil {
		rt.Fatal(err)
	}
}

// Made safe holds until the unit has had power, or for some hours: against the
// plainest account of it, over any order of records.
func TestMadeSafeHoldsUntilPower(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		var d job.Document
		now, safe, at := clock(), false, time.Time{}
		for range rapid.IntRange(0, 12).Draw(rt, "records") {
			now = now.Add(time.Duration(rapid.IntRange(1, 90).Draw(rt, "minutes")) * time.Minute)
			switch mode := rapid.SampledFrom(append([]string{"safe", "work", "symptom"}, job.Modes()...)).Draw(rt, "record"); mode {
			case "safe":
				d.Work, safe, at = append(d.Work, MadeSafe(now, "")), true, now
			case "work":
				d.Work = append(d.Work, job.Work{Time: now, Did: "replaced C1"})
			case "symptom":
				d.Symptoms, safe = append(d.Symptoms, job.Symptom{Time: now, Seen: "hum"}), false
			default:
				d.Readings = append(d.Readings, job.Reading{Time: now, Mode: job.Mode(mode)})
				safe = safe && (mode == "ohms" || mode == "continuity" || mode == "junction")
			}
			want := safe && now.Sub(at) <= safeLasts
			if _, got := SafeSince(d, now); got != want {
				rt.Fatalf("safe %v, want %v after %d readings, %d symptoms, %d works", got, want, len(d.Readings), len(d.Symptoms), len(d.Work))
			}
		}
	})
}
