package reports

import (
	"fmt"
	"io"
	"regexp"
	"slices"
	"strings"

	"clampodds/reports/figure"
)

// WriteLatex writes d as a document to be compiled in its folder by any engine: its prose,
// and the fragments that FolderFiles makes of its tables and figures, with labels
// "tab:NAME" and "fig:NAME". A4, margins of 25 mm at the sides and 20 mm above and below.
func WriteLatex(w io.Writer, d Document) error {
	p := &printer{w: w}
	p.line(`% Compile this three times: the columns of long tables settle from one run to the next.
\documentclass[a4paper]{article}
\usepackage[utf8]{inputenc}
\usepackage[hmargin=25mm,vmargin=20mm]{geometry}
\usepackage{array,booktabs,graphicx,longtable,pgf,textcomp}
\sloppy\emergencystretch=3em
\setlength{\LTpre}{3pt}\setlength{\LTpost}{3pt}
\newcommand{\room}{\par\dimen0=\pagegoal\advance\dimen0-\pagetotal\ifdim\dimen0<.16\textheight\newpage\fi} % no heading alone at the end of a page
\begin{document}`)
	if d.Running != "" {
		p.line(`\makeatletter\def\@oddfoot{\footnotesize ` + latex(d.Running) + `\hfil\thepage}\makeatother`)
	}
	p.line(`\enlargethispage{8mm}
\small
{\centering\Large ` + latex(d.Title) + `\par}\smallskip`)
	names := fileNames(d)
	for i, b := range d.Blocks {
		switch b := b.(type) {
		case Heading:
			before := `\room`
			if d.afterSignatures(i) {
				before = `\clearpage`
			}
			p.line("\n" + before + "\n\\section{" + latex(string(b)) + "}")
		case Subheading:
			p.line("\n\\subsection{" + latex(string(b)) + "}")
		case Paragraph:
			p.line("\n" + latex(string(b)))
		case Code:
			p.line("\n\\begin{flushleft}\\ttfamily " + latex(string(b)) + "\\end{flushleft}")
		case List:
			p.line("\n\\begin{itemize}")
			for _, item := range b {
				p.line(`\item ` + latex(item))
			}
			p.line(`\end{itemize}`)
		case *Table:
			p.line("\n\\input{latex/table-" + names[b] + "}")
		case *Figure:
			p.line("\n\\input{latex/figure-" + names[b] + "}")
		}
	}
	p.line("\n\\end{document}")
	return p.err
}

// WriteLatexTable writes t as a fragment to \input into a document that uses the
// packages booktabs, array and longtable, UTF-8 and any engine. The table breaks
// between rows from page to page and repeats its heads. Its number is the one of
// the model, whatever the document counts; its label, if it has a caption, "tab:" and the
// name.
func WriteLatexTable(w io.Writer, t *Table, name string) error {
	p := &printer{w: w}
	// \par ends what stands before; the group keeps size and number inside.
	size, _ := latexType(t)
	p.line(`\par\begingroup` + size + latexNumber("table", t.Number))
	right, spread := "0pt plus 1fill", ""
	if t.filledIn() { // as wide as the line
		right, spread = "0pt", `\extracolsep{\fill}`
	}
	p.line(`\setlength{\tabcolsep}{3pt}\setlength{\LTcapwidth}{\linewidth}\setlength{\LTleft}{0pt}\setlength{\LTright}{` + right + `}`)
	columns, broken := latexColumns(t)
	p.line(`\begin{longtable}{@{` + spread + `}` + columns + `@{}}`)
	heads := strings.Join(escapeAll(t.heads(), latex), " & ") + ` \\`
	repeated := `\toprule` + "\n" + heads + "\n" + `\midrule`
	if t.Caption == "" && t.Number == "" {
		p.line(repeated + "\n" + `\endhead`)
	} else {
		p.line(`\caption{` + latex(t.Caption) + `}\label{tab:` + name + `}\\*[-6pt]`) // half of the line that the package leaves
		p.line(repeated + "\n" + `\endfirsthead`)
		p.line(repeated + "\n" + `\endhead`)
	}
	p.line(`\bottomrule` + "\n" + `\endfoot`)
	rows := 0
	for _, group := range t.groups() {
		for i, row := range group {
			bold := ""
			if t.stressed(rows) {
				bold = `\bfseries `
			}
			rows++
			end := ""
			if i < len(group)-1 || len(t.Rows) <= shortTable && rows < len(t.Rows) {
				end = "*" // no page break here
			}
			if t.filledIn() {
				end += "[2.3mm]"
			}
			p.line(latexRow(row, bold, broken) + end)
			if t.filledIn() && rows < len(t.Rows) {
				p.line(`\noalign{\hrule height .03em\nobreak\vskip 2pt}`) // where no page ends
			}
		}
	}
	p.line(`\end{longtable}` + latexUncount("table", t.Number))
	if len(t.Notes) > 0 {
		p.line(`\raggedright`) // keys do not break: justified, a line of them is mostly gaps
	}
	if t.Key == decisionKey { // room on page one for who signs and for the revisions
		p.line(`\footnotesize`)
	}
	for _, n := range t.Notes {
		p.line(`\noindent ` + latex(n) + `\par`)
	}
	if len(t.Notes) > 0 {
		p.line(`\smallskip`)
	}
	p.line(`\endgroup`)
	return p.err
}

// WriteLatexFigure writes f as a fragment with its drawing as commands of the package pgf, three
// quarters of the line wide; it needs graphicx besides. Its label is "fig:" and the name. It stands where
// it is put: next to a long table the class places floats beyond the end of the page.
func WriteLatexFigure(w io.Writer, f *Figure, name string) error {
	p := &printer{w: w}
	p.line(`\par\medskip\noindent\begin{minipage}{\linewidth}\centering`)
	p.line(`\resizebox{0.75\linewidth}{!}{` + strings.TrimSpace(string(figure.PGF(f.Drawing, latex))) + `}`)
	p.line(`\makeatletter\def\@captype{figure}\makeatother` + latexNumber("figure", f.Number) + `\caption{` + latex(f.Caption) + `}\label{fig:` + name + `}` + latexUncount("figure", f.Number))
	p.line(`\end{minipage}\par\medskip`)
	return p.err
}

// latexNumber gives a caption the model's number; without one the document
// counts.
func latexNumber(kind, number string) string {
	if number == "" {
		return ""
	}
	return `\renewcommand{\the` + kind + `}{` + latex(number) + `}`
}

// latexUncount takes back that the document counted, so that its own numbers have
// no gap.
func latexUncount(kind, number string) string {
	if number == "" {
		return ""
	}
	return `\addtocounter{` + kind + `}{-1}`
}

// latexRow is a row of cells, each behind what sets its type.
func latexRow(cells []string, face string, broken []bool) string {
	escaped := escapeAll(cells, latex)
	for i, s := range cells {
		if broken[i] {
			escaped[i] = breakingLatex(s)
		}
	}
	return face + strings.Join(escaped, " & "+face) + ` \\`
}

// endless are the words that a column whose texts break may be too narrow for, joints the places where they do.
var (
	endless = regexp.MustCompile(`\S{31,}`)
	joint   = regexp.MustCompile(`[-/_.,:;=?&]|[^-/_.,:;=?&\s]{16}`)
)

// breakingLatex lets an endless word break.
func breakingLatex(s string) string {
	const mark = "\v" // no text has it
	s = endless.ReplaceAllStringFunc(plain(s), func(word string) string { return joint.ReplaceAllString(word, "$0"+mark) })
	return strings.ReplaceAll(escapeLatex(s), mark, `\allowbreak{}`)
}

// latexType is the size of a table's type and the characters that a line of it
// holds on an A4 page with margins of 25 mm, 455 points: a digit of the default face is
// 0.5, 0.53, 0.57 and 0.68 as wide as the type is high.
func latexType(t *Table) (size string, line int) {
	switch _, total := columnCharacters(t); {
	case total <= 85 || t.Key == decisionKey:
		return `\small`, 85
	case total <= 100:
		return `\footnotesize`, 100
	}
	widths, _ := fitColumns(t, 110)
	if total := sum(widths); total <= 110 {
		return `\scriptsize`, 110
	}
	return `\tiny`, 128
}

func sum(widths []int) (total int) {
	for _, w := range widths {
		total += w
	}
	return total
}

// latexParagraph is a column whose texts break.
const latexParagraph = `>{\raggedright\arraybackslash}p{%.2f\linewidth}`

// latexColumns aligns the columns; where the table is too wide, its long texts
// break.
func latexColumns(t *Table) (columns string, broken []bool) {
	if t.filledIn() { // the last column, of what changed or signatures, has room for two
		each, last := 0.9/float64(len(t.Columns)+1), len(t.Columns)-1
		for i := range t.Columns {
			share := each
			if i == last {
				share = 2 * each
			}
			columns += fmt.Sprintf(latexParagraph, share)
		}
		return columns, slices.Repeat([]bool{true}, len(t.Columns))
	}
	if t.Key == decisionKey { // the questions are short: page one needs the lines
		return "l" + fmt.Sprintf(latexParagraph, 0.75), []bool{false, true}
	}
	_, line := latexType(t)
	widths, broken := fitColumns(t, line-3) // an ellipsis is wider than a digit
	var b strings.Builder
	for i, c := range t.Columns {
		switch {
		case c.Number:
			b.WriteByte('r')
		case broken[i]:
			fmt.Fprintf(&b, latexParagraph, float64(widths[i]-2)/float64(line)) // without the gap
		default:
			b.WriteByte('l')
		}
	}
	return b.String(), broken
}

// latexSpecial escapes what LaTeX reads as a command, and spells out what not
// every engine and font has. Letters outside pass as UTF-8.
var latexSpecial = strings.NewReplacer(
	`\`, `\textbackslash{}`, `{`, `\{`, `}`, `\}`, `$`, `\$`, `&`, `\&`, `#`, `\#`, `%`, `\%`, `_`, `\_`,
	`^`, `\textasciicircum{}`, `~`, `\textasciitilde{}`, `<`, `\textless{}`, `>`, `\textgreater{}`, `|`, `\textbar{}`, `"`, `{\char34}`,
	// A replacement character stands for bytes that were no text.
	"\ufffd", "?",
	// No ligatures.
	"--", "-{}-{}", "`", "{`}", "''", "'{}'{}",
	"°", `\textdegree{}`, "µ", `\textmu{}`, "μ", `\textmu{}`, "·", `\textperiodcentered{}`, "…", `\ldots{}`,
	"²", `\textsuperscript{2}`, "³", `\textsuperscript{3}`, "⁻", `\textsuperscript{-}`, "¹", `\textsuperscript{1}`,
	"×", `\ensuremath{\times}`, "÷", `\ensuremath{\div}`, "±", `\ensuremath{\pm}`, "−", `\ensuremath{-}`,
	"≤", `\ensuremath{\leq}`, "≥", `\ensuremath{\geq}`, "≈", `\ensuremath{\approx}`, "∞", `\ensuremath{\infty}`, "√", `\ensuremath{\surd}`,
	"→", `\ensuremath{\rightarrow}`, "α", `\ensuremath{\alpha}`, "β", `\ensuremath{\beta}`, "Δ", `\ensuremath{\Delta}`,
	"θ", `\ensuremath{\theta}`, "λ", `\ensuremath{\lambda}`, "ρ", `\ensuremath{\rho}`, "σ", `\ensuremath{\sigma}`, "τ", `\ensuremath{\tau}`,
	"φ", `\ensuremath{\varphi}`, "ψ", `\ensuremath{\psi}`, "Φ", `\ensuremath{\Phi}`, "Ω", `\ensuremath{\Omega}`,
)

func latex(s string) string { return escapeLatex(plain(s)) }

func escapeLatex(s string) string {
	s = latexSpecial.Replace(s)
	if strings.HasPrefix(s, "[") || strings.HasPrefix(s, "*") {
		return "{}" + s // the end of the row before would take it for an option
	}
	return s
}
