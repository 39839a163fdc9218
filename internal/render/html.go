package render

import (
	"encoding/base64"
	"strings"

	"foilside/internal/sheet"
)

// SheetHTML prints a sheet as one page that needs nothing else: drawing,
// photographs and style are inside. It prints on the paper chosen.
func SheetHTML(s sheet.Sheet, paper Paper) []byte {
	d := s.Document()
	w := &htmlWriter{}
	if paper == "" {
		paper = A4
	}
	w.printf("<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\"/>\n<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n<title>%s</title>\n<style>\n%s</style>\n</head>\n<body>\n<main>\n", esc(d.Title), strings.ReplaceAll(sheetCSS, "PAPER", strings.ToLower(string(paper))))
	w.printf("<header>\n<h1>%s</h1>\n", esc(d.Title))
	for _, f := range d.Facts {
		w.printf("<p class=\"fact\">%s</p>\n", esc(f))
	}
	w.printf("</header>\n")
	for _, b := range d.Blocks {
		w.block(b)
	}
	w.printf("<footer>%s</footer>\n</main>\n</body>\n</html>\n", esc(d.Footer))
	return w.Bytes()
}

type htmlWriter struct{ svgWriter }

func (w *htmlWriter) block(b sheet.Block) {
	switch b := b.(type) {
	case sheet.Heading:
		w.printf("<h2>%s</h2>\n", esc(b.Text))
	case sheet.Paragraph:
		w.printf("<p>%s</p>\n", esc(b.Text))
	case sheet.Caution:
		w.printf("<section class=\"caution\">\n<h2>%s</h2>\n<ul>\n", esc(b.Title))
		for _, t := range b.Items {
			w.printf("<li>%s</li>\n", esc(t))
		}
		w.printf("</ul>\n</section>\n")
	case sheet.Table:
		w.table(b)
	case sheet.Figure:
		w.printf("<figure class=\"drawing\">\n%s", SVG(*b.Drawing, White()))
		if b.Caption != "" {
			w.printf("<figcaption>%s</figcaption>\n", esc(b.Caption))
		}
		w.printf("</figure>\n")
	case sheet.Picture:
		w.picture(b.Photo)
	case sheet.Lines:
		w.printf("<div class=\"lines\">%s</div>\n", strings.Repeat("<div></div>", b.Count))
	}
}

func (w *htmlWriter) table(t sheet.Table) {
	w.printf("<table>\n<colgroup>")
	for _, x := range t.Widths {
		w.printf("<col style=\"width:%.1f%%\"/>", 100*x)
	}
	w.printf("</colgroup>\n<thead><tr>")
	for _, h := range t.Head {
		w.printf("<th scope=\"col\">%s</th>", esc(h))
	}
	w.printf("</tr></thead>\n<tbody>\n")
	for i, r := range t.Rows {
		class := ""
		if i < len(t.Warn) && t.Warn[i] {
			class = " class=\"warn\""
		}
		w.printf("<tr%s>", class)
		for _, c := range r {
			w.printf("<td>%s</td>", esc(c))
		}
		w.printf("</tr>\n")
	}
	w.printf("</tbody>\n</table>\n")
}

// picture puts a photograph in with its marks drawn over it.
func (w *htmlWriter) picture(p sheet.Photo) {
	if len(p.JPEG) == 0 || p.Width <= 0 || p.Height <= 0 {
		return
	}
	w.printf("<figure class=\"photo\">\n<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 %d %d\" role=\"img\" aria-label=\"%s\">\n", p.Width, p.Height, esc(p.Title))
	w.printf("<image width=\"%d\" height=\"%d\" href=\"data:image/jpeg;base64,%s\"/>\n", p.Width, p.Height, base64.StdEncoding.EncodeToString(p.JPEG))
	r := markRadius(p)
	for _, m := range p.Marks {
		w.printf("<circle cx=\"%s\" cy=\"%s\" r=\"%s\" fill=\"none\" stroke=\"#fff\" stroke-width=\"%s\"/>", num(m.X), num(m.Y), num(r), num(r*0.5))
		w.printf("<circle cx=\"%s\" cy=\"%s\" r=\"%s\" fill=\"none\" stroke=\"#0a6e7a\" stroke-width=\"%s\"/>", num(m.X), num(m.Y), num(r), num(r*0.25))
		w.printf("<text x=\"%s\" y=\"%s\" font-size=\"%s\" fill=\"#0a6e7a\" stroke=\"#fff\" stroke-width=\"%s\" paint-order=\"stroke\">%s</text>\n",
			num(m.X+1.5*r), num(m.Y+0.7*r), num(2.2*r), num(r*0.5), esc(m.Text))
	}
	w.printf("</svg>\n<figcaption>%s</figcaption>\n</figure>\n", esc(p.Title))
}

// markRadius is that of a mark's ring, in pixels: about 1 % of the width.
func markRadius(p sheet.Photo) float64 { return float64(p.Width) / 100 }

const sheetCSS = `:root{--ink:#1d1a16;--faint:#6b6358;--rule:#b9b0a2;--paper:#fbf7ee;--danger:#9a5b00;--danger-bg:#fff3d9}
html{background:var(--paper);color:var(--ink);font:10.5pt/1.45 "DejaVu Sans",Verdana,sans-serif}
main{max-width:190mm;margin:0 auto;padding:10mm}
h1{font-size:20pt;margin:0 0 2mm;line-height:1.15}
h2{font-size:12.5pt;margin:8mm 0 2mm;break-after:avoid}
p{margin:0 0 2mm}
.fact{color:var(--faint);margin:0}
header{border-bottom:0.6mm solid var(--ink);padding-bottom:3mm;margin-bottom:4mm}
.caution{border:0.6mm solid var(--danger);background:var(--danger-bg);padding:3mm 4mm;margin:4mm 0;break-inside:avoid}
.caution h2{margin:0 0 1.5mm;color:var(--danger)}
.caution ul{margin:0;padding-left:5mm}
table{border-collapse:collapse;width:100%;table-layout:fixed;font-size:9pt}
th{text-align:left;border-bottom:0.4mm solid var(--ink);padding:1mm 1.5mm;overflow-wrap:anywhere}
td{border-bottom:0.2mm solid var(--rule);padding:0.9mm 1.5mm;vertical-align:top;overflow-wrap:anywhere}
tr{break-inside:avoid}
thead{display:table-header-group}
.warn td:first-child{border-left:1mm solid var(--danger)}
figure{margin:3mm 0;break-inside:avoid}
figure svg{display:block;max-width:100%;height:auto;max-height:240mm;margin:0 auto}
figure.photo svg{width:100%}
figcaption{color:var(--faint);font-size:9pt;margin-top:1.5mm}
.lines div{border-bottom:0.2mm solid var(--rule);height:9mm}
footer{color:var(--faint);font-size:8.5pt;margin-top:8mm;border-top:0.2mm solid var(--rule);padding-top:2mm}
@page{size:PAPER;margin:14mm}
@media print{html{background:#fff;--paper:#fff}main{max-width:none;padding:0}}
`
