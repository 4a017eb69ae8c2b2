// Package report makes a document of every result: what is said of it, in which order, and in whose
// units. One function a result: [SetUp], [Load], [Travel], [Check] and so on take what a room below
// worked out and give a [document.Document], whose verdict comes first. Nothing is computed after
// it. Package text, [document.Document.JSON] and the page write what stands in it.
//
// To change a sentence, look for the file of its result; cautions, and words that several results
// share, are in say.go. How numbers are written is in package document.
//
// Axes, signs and units are those of docs/conventions.md.
package report
