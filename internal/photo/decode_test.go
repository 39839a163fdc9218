package photo

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math"
	"strings"
	"testing"

	"golang.org/x/image/tiff"
)

// corners is a picture whose four corners differ: red, green, blue, white
// clockwise from the top left.
func corners(w, h int) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			c := color.RGBA{255, 0, 0, 255}
			switch right, low := x >= w/2, y >= h/2; {
			case right && !low:
				c = color.RGBA{0, 255, 0, 255}
			case right && low:
				c = color.RGBA{0, 0, 255, 255}
			case low:
				c = color.RGBA{255, 255, 255, 255}
			}
			img.SetRGBA(x, y, c)
		}
	}
	return img
}

func jpegBytes(t testing.TB, img image.Image) []byte {
	t.Helper()
	var buf bytes.Buffer
	if err := jpeg.Encode(&buf, img, &jpeg.Options{Quality: 95}); err != nil {
		t.Fatal(err)
	}
	return buf.Bytes()
}

func pngBytes(t testing.TB, img image.Image) []byte {
	t.Helper()
	var buf bytes.Buffer
	if err := png.Encode(&buf, img); err != nil {
		t.Fatal(err)
	}
	return buf.Bytes()
}

// exif is a TIFF structure by hand: orientation in IFD0, focal length and its
// 35 mm equivalent in the Exif directory (EXIF 2.32 §4.6).
func exif(order binary.AppendByteOrder, mark string, orientation, focal35 uint16) []byte {
	entry := func(b []byte, tag, kind uint16, value uint32) []byte {
		b = order.AppendUint16(b, tag)
		b = order.AppendUint16(b, kind)
		b = order.AppendUint32(b, 1)
		if kind == 3 { // a SHORT stands at the left of the value field
			return order.AppendUint16(order.AppendUint16(b, uint16(value)), 0)
		}
		return order.AppendUint32(b, value)
	}
	b := []byte(mark)
	b = order.AppendUint16(b, 42)
	b = order.AppendUint32(b, 8)
	b = order.AppendUint16(b, 2) // IFD0 at 8: two entries end at 8+2+24+4 = 38
	b = entry(b, 0x0112, 3, uint32(orientation))
	b = entry(b, 0x8769, 4, 38)
	b = order.AppendUint32(b, 0)
	b = order.AppendUint16(b, 2) // Exif directory at 38, ends at 68
	b = entry(b, 0x920a, 5, 68)
	b = entry(b, 0xa405, 3, uint32(focal35))
	b = order.AppendUint32(b, 0)
	return order.AppendUint32(order.AppendUint32(b, 425), 100) // 4.25 mm
}

// withAPP1 puts an EXIF segment behind the JPEG's start mark.
func withAPP1(data, tiffPart []byte) []byte {
	payload := append([]byte("Exif\x00\x00"), tiffPart...)
	out := []byte{0xff, 0xd8, 0xff, 0xe1}
	out = binary.BigEndian.AppendUint16(out, uint16(len(payload)+2))
	out = append(out, payload...)
	return append(out, data[2:]...)
}

func cornerNames(img *image.RGBA) string {
	w, h := img.Rect.Dx(), img.Rect.Dy()
	var names []byte
	for _, p := range []image.Point{{w / 8, h / 8}, {w - 1 - w/8, h / 8}, {w - 1 - w/8, h - 1 - h/8}, {w / 8, h - 1 - h/8}} {
		c := img.RGBAAt(p.X, p.Y)
		switch r, g, b := c.R > 128, c.G > 128, c.B > 128; {
		case r && g && b:
			names = append(names, 'W')
		case r && !g && !b:
			names = append(names, 'R')
		case g && !r && !b:
			names = append(names, 'G')
		case b && !r && !g:
			names = append(names, 'B')
		default:
			names = append(names, '?')
		}
	}
	return string(names)
}

// The stored picture has corners R G B W clockwise from the top left. What is
// seen follows from EXIF 2.32 tag 274's words: "6: the 0th row is the visual
// right-hand side of the image, the 0th column is the visual top".
var orientationCases = []struct {
	name        string
	orientation uint16
	seen        string // clockwise from the top left
	turned      bool
}{
	{"1 as stored", 1, "RGBW", false},
	{"2 mirrored left-right", 2, "GRWB", false},
	{"3 half turn", 3, "BWRG", false},
	{"4 mirrored top-bottom", 4, "WBGR", false},
	{"5 row 0 left, column 0 top", 5, "RWBG", true},
	{"6 row 0 right, column 0 top", 6, "WRGB", true},
	{"7 row 0 right, column 0 bottom", 7, "BGRW", true},
	{"8 row 0 left, column 0 bottom", 8, "GBWR", true},
}

func TestDecodeSetsUpright(t *testing.T) {
	stored := jpegBytes(t, corners(96, 160))
	for _, c := range orientationCases {
		for mark, order := range map[string]binary.AppendByteOrder{"II": binary.LittleEndian, "MM": binary.BigEndian} {
			t.Run(c.name+" "+mark, func(t *testing.T) {
				data := withAPP1(stored, exif(order, mark, c.orientation, 26))
				p, err := Decode(context.Background(), data, "board.jpg")
				if err != nil {
					t.Fatal(err)
				}
				if got := cornerNames(p.Pixels); got != c.seen {
					t.Errorf("corners %s, want %s", got, c.seen)
				}
				w, h := 96, 160
				if c.turned {
					w, h = h, w
				}
				if p.Width() != w || p.Height() != h {
					t.Errorf("size %d × %d, want %d × %d", p.Width(), p.Height(), w, h)
				}
				if p.Camera.Orientation != int(c.orientation) || p.Camera.PixelsSwapped != c.turned {
					t.Errorf("camera %+v", p.Camera)
				}
				if p.Camera.FocalMM != 4.25 || p.Camera.Focal35MM != 26 {
					t.Errorf("focal length %v mm, %v mm at 35 mm film; want 4.25, 26", p.Camera.FocalMM, p.Camera.Focal35MM)
				}
				if !bytes.Equal(p.Original, data) {
					t.Error("original bytes changed")
				}
			})
		}
	}
}

func TestFocalPixels(t *testing.T) {
	// A 36 × 24 mm frame of 3600 × 2400 pixels has 100 pixels a millimetre.
	got := Camera{Focal35MM: 50}.FocalPixels(3600, 2400)
	if math.Abs(got-5000) > 1e-9 {
		t.Errorf("got %v, want 5000", got)
	}
	if got := (Camera{}).FocalPixels(100, 100); got != 0 {
		t.Errorf("unknown focal length gives %v, want 0", got)
	}
}

func TestDecodeFormatsByContent(t *testing.T) {
	img := corners(128, 80)
	var tif bytes.Buffer
	if err := tiff.Encode(&tif, img, &tiff.Options{Compression: tiff.Deflate}); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name, media string
		data        []byte
	}{
		{"JPEG", mediaJPEG, jpegBytes(t, img)},
		{"PNG named .jpg", mediaPNG, pngBytes(t, img)},
		{"TIFF", mediaTIFF, tif.Bytes()},
	} {
		t.Run(c.name, func(t *testing.T) {
			p, err := Decode(context.Background(), c.data, "wrong.jpg")
			if err != nil {
				t.Fatal(err)
			}
			if p.Media != c.media || cornerNames(p.Pixels) != "RGBW" || !p.Pixels.Opaque() {
				t.Errorf("media %s, corners %s, opaque %v", p.Media, cornerNames(p.Pixels), p.Pixels.Opaque())
			}
			if p.Pixels.Stride != 4*p.Width() {
				t.Errorf("stride %d for width %d", p.Pixels.Stride, p.Width())
			}
		})
	}
}

func TestTransparentStandsOnWhite(t *testing.T) {
	img := image.NewNRGBA(image.Rect(0, 0, 70, 70)) // all transparent
	p, err := Decode(context.Background(), pngBytes(t, img), "clear.png")
	if err != nil {
		t.Fatal(err)
	}
	if got := p.Pixels.RGBAAt(30, 30); got != (color.RGBA{255, 255, 255, 255}) {
		t.Errorf("got %v, want opaque white", got)
	}
}

// hugeHeader is a PNG header that claims w × h pixels and holds none.
func hugeHeader(t *testing.T, w, h uint32) []byte {
	t.Helper()
	data := pngBytes(t, image.NewGray(image.Rect(0, 0, 64, 64)))
	binary.BigEndian.PutUint32(data[16:], w)
	binary.BigEndian.PutUint32(data[20:], h)
	binary.BigEndian.PutUint32(data[29:], crc(data[12:29]))
	return data
}

func TestDecodeRefuses(t *testing.T) {
	good := jpegBytes(t, corners(200, 200))
	goodPNG := pngBytes(t, corners(200, 200))
	for _, c := range []struct {
		name   string
		data   []byte
		reason string
	}{
		{"empty file", nil, "empty (0 bytes)"},
		{"text named .jpg", []byte("R1 4k7\nR2 10k\n"), "plain text"},
		{"program named .jpg", []byte("\x7fELF\x02\x01\x01\x00\x00\x00"), "doesn't read"},
		{"cut after the header", good[:20], "damaged or cut short"},
		{"cut in the middle", good[:len(good)/2], "damaged or cut short"},
		{"PNG cut in the middle", goodPNG[:len(goodPNG)/2], "damaged or cut short"},
		{"1 × 1", jpegBytes(t, corners(1, 1)), "only 1 × 1 pixels"},
		{"one side too small", jpegBytes(t, corners(400, 63)), "only 400 × 63 pixels"},
		{"61 megapixels", hugeHeader(t, 10000, 6100), "more than 60 megapixels"},
		{"sides whose product overflows", hugeHeader(t, 1<<31-1, 1<<31-1), ""},
		{"HEIC cut short", []byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00heicmif1"), ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := Decode(context.Background(), c.data, "top.jpg")
			var refusal *Refusal
			if !errors.As(err, &refusal) {
				t.Fatalf("got %v, want a refusal", err)
			}
			if !strings.HasPrefix(err.Error(), "top.jpg: ") || !strings.Contains(err.Error(), c.reason) {
				t.Errorf("message %q, want the name and %q", err, c.reason)
			}
			if refusal.Next() == "" {
				t.Error("no advice on what to do next")
			}
		})
	}
}

func TestDecodeHonoursContext(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Decode(ctx, jpegBytes(t, corners(100, 100)), "top.jpg"); !errors.Is(err, context.Canceled) {
		t.Errorf("got %v, want context.Canceled", err)
	}
}

func FuzzDecode(f *testing.F) {
	f.Add([]byte(nil))
	f.Add(jpegBytes(f, corners(66, 66)))
	f.Add(withAPP1(jpegBytes(f, corners(66, 70)), exif(binary.LittleEndian, "II", 6, 26)))
	f.Add(pngBytes(f, corners(64, 64)))
	f.Add([]byte("RIFF\x00\x00\x00\x00WEBPVP8 "))
	f.Add([]byte("II*\x00\x08\x00\x00\x00"))
	f.Fuzz(func(t *testing.T, data []byte) {
		if MediaType(data) == mediaHEIC {
			t.Skip("the HEIC decoder takes a second a call")
		}
		p, err := Decode(context.Background(), data, "fuzz")
		if err != nil {
			return
		}
		if p.Width() < MinSide || p.Height() < MinSide || len(p.Pixels.Pix) != 4*p.Width()*p.Height() {
			t.Errorf("accepted %d × %d with %d bytes", p.Width(), p.Height(), len(p.Pixels.Pix))
		}
	})
}
