package prescription

import (
	"crypto/sha256"
	"encoding/hex"

	"selvage/internal/casefile"
)

// Hash names what a prescription says, whichever scans go with it: the SHA-256 of its JSON
// in hexadecimal. Two prescriptions with one hash say the same.
func Hash(c casefile.Case) (string, error) {
	c.Scans, c.ShimStock, c.Units = nil, nil, ""
	restorations := append([]casefile.Restoration(nil), c.Restorations...)
	for i := range restorations {
		restorations[i].Margin = casefile.ByHand{} // the line is drawn on the scans
	}
	c.Restorations = restorations
	data, err := c.Encode()
	if err != nil {
		return "", err
	}
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:]), nil
}
