package report

import "strings"

// wrap breaks a line at spaces so that no part is wider than limit columns; a
// word that is wider by itself is cut. Leading spaces stay: they align numbers.
func wrap(s string, limit int) []string {
	if limit < 1 || width(s) <= limit {
		return []string{s}
	}
	var lines []string
	line := ""
	for _, word := range words(s) {
		for {
			joined := word
			if line != "" {
				joined = line + " " + word
			}
			if width(joined) <= limit {
				line = joined
				break
			}
			if line != "" {
				lines, line = append(lines, line), ""
				continue
			}
			var head string
			head, word = cut(word, limit)
			lines = append(lines, head)
		}
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

// words cuts a line at plain spaces; a no-break space holds.
func words(s string) []string {
	return strings.FieldsFunc(s, func(r rune) bool { return r == ' ' })
}

// cut takes from s as much as fits in limit columns, at least one character,
// and prefers to break after a dash or a slash beyond the first third.
func cut(s string, limit int) (head, rest string) {
	end, good, w := 0, 0, 0
	for i, r := range s {
		w += width(string(r))
		if w > limit && i > 0 {
			break
		}
		end = i + len(string(r))
		if strings.ContainsRune("–-/_", r) && w > limit/3 {
			good = end
		}
	}
	if good > 0 && end < len(s) {
		end = good
	}
	return s[:end], s[end:]
}

// wrapIndented is a paragraph: wrapped to limit columns, its first line as it
// is and the others two spaces further in. It ends in a line break.
func wrapIndented(s, indent string, limit int) string {
	var b strings.Builder
	for i, line := range wrap(s, limit-len(indent)-2) {
		b.WriteString(indent)
		if i > 0 {
			b.WriteString("  ")
		}
		b.WriteString(line + "\n")
	}
	return b.String()
}

// paragraph wraps s to limit columns with no indent and ends in a line break.
func paragraph(s string, limit int) string {
	return strings.Join(wrap(s, limit), "\n") + "\n"
}

// longestWord is the width of the widest word of s.
func longestWord(s string) int {
	w := 0
	for _, f := range words(s) {
		w = max(w, width(f))
	}
	return w
}
