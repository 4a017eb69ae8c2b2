// Package document is the one account of a result: what is said of it, in which order, before any
// writer puts it on a screen or on paper.
//
// A [Document] begins with its verdict, at most three lines, and goes on in sections, the most
// important first. What stands in them are [Figure]s, [Sentence]s with their figures, tables, bars,
// steps, findings and cautions. Package report makes the documents, one function for each result.
// Package text writes them in 80 columns, [Document.JSON] writes them for programs and for the
// page.
//
// # Numbers
//
// A figure holds its number as the program computes it: radians, millimetres, newton-millimetres.
// Here alone it gets its unit, its rounding and its direction in words, by [Figure.Text], so that
// the same figure reads alike everywhere. It is never written finer than its ±:
//
//   - The ± keeps two digits where its first three are 100 to 354, else one; 950 to 999 become 1.0
//     of the next decade (the rule of the Review of Particle Physics, "Rounding", from memory; it
//     is within JCGM 100, 7.2.6: at most two digits).
//   - The value ends where its ± ends, and no later than the tool that sets it can show.
//   - Without a ± it has the digits of that tool, or three figures where no tool sets it.
//
// The [Reader] says in which units a person reads. JSON gives each value in a fixed unit beside the
// text in the reader's, so that no program depends on a person's setting.
package document
