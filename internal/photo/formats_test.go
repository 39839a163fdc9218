package photo

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"image"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
)

// Made with OpenCV 4.6 from a picture like corners(96, 160).
func TestDecodeWebP(t *testing.T) {
	for _, name := range []string{"corners-lossy.webp", "corners-lossless.webp"} {
		t.Run(name, func(t *testing.T) {
			data, err := os.ReadFile(filepath.Join("testdata", name))
			if err != nil {
				t.Fatal(err)
			}
			p, err := Decode(context.Background(), data, name)
			if err != nil {
				t.Fatal(err)
			}
			if p.Media != mediaWebP || p.Width() != 96 || p.Height() != 160 || cornerNames(p.Pixels) != "RGBW" {
				t.Errorf("media %s, size %v, corners %s", p.Media, p.Pixels.Rect, cornerNames(p.Pixels))
			}
			if _, err := Decode(context.Background(), data[:len(data)/2], name); err == nil {
				t.Error("half of the file was accepted")
			}
		})
	}
}

// heicSample is a picture that the decoder's own module carries.
func heicSample(t *testing.T) []byte {
	t.Helper()
	dir, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}", "github.com/gen2brain/heic").Output()
	if err != nil {
		t.Skip("the sample in the HEIC module can't be found: ", err)
	}
	data, err := os.ReadFile(filepath.Join(strings.TrimSpace(string(dir)), "testdata", "test8.heic"))
	if err != nil {
		t.Skip("the HEIC module carries no sample: ", err)
	}
	return data
}

func TestDecodeHEIC(t *testing.T) {
	data := heicSample(t)
	p, err := Decode(context.Background(), data, "top.heic")
	if runtime.GOARCH != "amd64" && runtime.GOARCH != "arm64" {
		var refusal *Refusal
		if !errors.As(err, &refusal) || !errors.Is(err, errNoHEIC) {
			t.Fatalf("got %v, want a refusal", err)
		}
		return
	}
	if err != nil {
		t.Fatal(err)
	}
	flat := image.NewUniform(p.Pixels.At(0, 0))
	allSame := true
	for y := 0; y < p.Height() && allSame; y += 16 {
		for x := 0; x < p.Width() && allSame; x += 16 {
			allSame = p.Pixels.At(x, y) == flat.C
		}
	}
	if p.Media != mediaHEIC || allSame {
		t.Errorf("media %s, size %v, a single colour %v", p.Media, p.Pixels.Rect, allSame)
	}
	if _, err := Decode(context.Background(), bytes.Clone(data[:len(data)/2]), "half.heic"); err == nil {
		t.Error("half of the file was accepted")
	}
}

// withEXIFChunk puts an eXIf chunk behind the PNG's header (PNG 3rd ed.,
// §11.3.4.3).
func withEXIFChunk(data, tiffPart []byte) []byte {
	const header = 8 + 4 + 4 + 13 + 4
	chunk := binary.BigEndian.AppendUint32(nil, uint32(len(tiffPart)))
	body := append([]byte("eXIf"), tiffPart...)
	chunk = append(chunk, body...)
	chunk = binary.BigEndian.AppendUint32(chunk, crc(body))
	return slices.Concat(data[:header], chunk, data[header:])
}

func TestDecodeSetsPNGUpright(t *testing.T) {
	data := withEXIFChunk(pngBytes(t, corners(96, 160)), exif(binary.BigEndian, "MM", 6, 26))
	p, err := Decode(context.Background(), data, "board.png")
	if err != nil {
		t.Fatal(err)
	}
	if got := cornerNames(p.Pixels); got != "WRGB" || p.Width() != 160 {
		t.Errorf("corners %s, width %d; want WRGB, 160", got, p.Width())
	}
}
