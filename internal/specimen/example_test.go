package specimen_test

import (
	"context"
	"fmt"
	"strings"

	"foilside/internal/specimen"
)

func ExampleRender() {
	ctx := context.Background()
	board, err := specimen.Generate(ctx, 30, 0.2, 1)
	if err != nil {
		fmt.Println(err)
		return
	}
	s, err := specimen.Render(ctx, board, specimen.RandomShot(800, 1, 0.2))
	if err != nil {
		fmt.Println(err)
		return
	}
	j := s.Truth.Joints[0]
	fmt.Println("the first joint shows solder:", s.Truth.ClassAt(j.Foil) == specimen.SolderClass)
	fmt.Println("on its own copper:", s.Truth.CopperAt(j.Foil) == j.Copper)
	// Output:
	// the first joint shows solder: true
	// on its own copper: true
}

func ExampleBandColours() {
	bands, err := specimen.BandColours(4700, 0.05)
	fmt.Println(strings.Join(bands, " "), err)
	// Output: yellow violet red gold <nil>
}

func ExampleAbout() {
	for _, name := range specimen.Names() {
		d, err := specimen.About(name)
		fmt.Println(name+":", d.Title, err)
	}
	// Output:
	// intercom: Battery intercom amplifier <nil>
	// survey: Radiation survey meter <nil>
}
