package cli

import (
	"path/filepath"
	"strings"

	"selvage/internal/casefile"
)

// writeMargin writes the margins of a report in the form that the file's ending names:
// polylines (.obj) or a table (.csv).
func writeMargin(path string, r casefile.Report) error {
	if strings.ToLower(filepath.Ext(path)) == ".csv" {
		data, err := r.MarginCSV()
		if err != nil {
			return err
		}
		return writeFile(path, data)
	}
	return writeFile(path, r.MarginOBJ())
}
