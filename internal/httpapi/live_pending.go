package httpapi

import "context"

// Charge waits for the bench's use case.
func (l *live) Charge(context.Context) (Charge, error) {
	return Charge{}, &Problem{Status: 501, Kind: KindUnsupported, Detail: "stored charge can't be worked out yet"}
}

// Sheet waits for the bench's use case.
func (l *live) Sheet(context.Context, string) ([]byte, error) {
	return nil, &Problem{Status: 501, Kind: KindUnsupported, Detail: "the sheet can't be made yet"}
}

// DemoReading waits for the bench's use case.
func (l *live) DemoReading(context.Context, Reading) (string, error) {
	return "", &Problem{Status: 501, Kind: KindUnsupported, Detail: "the demonstration can't be measured yet"}
}
