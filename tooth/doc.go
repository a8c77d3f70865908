// Package tooth holds the facts about permanent teeth that need no scan: how
// they are numbered in three systems, where they stand, which neighbours and
// opponents they have, what their surfaces are called, and how big they usually
// are.
//
// A [Number] is the two-digit designation of ISO 3950 (often called FDI): the
// first digit is the quadrant (1 upper right, 2 upper left, 3 lower left, 4
// lower right, as the patient sees it), the second counts from the midline, 1
// the central incisor to 8 the third molar. Only the 32 permanent teeth are
// covered; deciduous teeth and the codes of areas are refused in words.
//
// Start with [Parse]. Everything is a value; nothing here can fail once a Number
// has come out of a constructor.
package tooth
