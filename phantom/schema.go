package phantom

import "selvage/internal/schema"

// TruthSchemaID names the schema of truth.json.
const TruthSchemaID = "urn:selvage:schema:truth:1"

// SchemaOfTruth returns the JSON Schema of truth.json, as published in
// doc/formats/truth.schema.json.
func SchemaOfTruth() ([]byte, error) {
	g := &schema.Generator{}
	schema.Words(g, []FinishLine{KnifeEdge, Chamfer, HeavyChamfer, Shoulder, SlopedShoulder})
	s, err := g.Of(Truth{}, TruthSchemaID, "Selvage truth",
		"What a phantom case was made from and what a perfect check would report, truth.json. A value that the tooth does not have is null.")
	if err != nil {
		return nil, err
	}
	for _, n := range []struct {
		def   string
		names []string
	}{
		{"Restoration", []string{
			"convergence_mesiodistal_deg", "convergence_buccolingual_deg", "convergence_mean_deg",
			"wall_height_min_mm", "base_mm", "height_to_base", "resistance", "edge_radius_min_mm",
		}},
		{"Quarters", []string{"mesial", "buccal", "distal", "lingual"}},
		{"MarginTruth", []string{"root_seen_mm", "spacing_mm"}},
		{"FinishLineTruth", []string{"width_min_mm", "width_median_mm"}},
		{"Located", []string{"value"}},
	} {
		for _, name := range n.names {
			*s.Defs.Find(n.def).Properties.Find(name) = orNull()
		}
	}
	diagonal := orNull()
	s.Defs.Find("Restoration").Properties.Find("convergence_diagonal_deg").Items = &diagonal
	s.Defs.Find("Located").Required = []string{"value"} // without a value there is no place
	return schema.Encode(s)
}

func orNull() schema.Schema {
	return schema.Schema{AnyOf: []*schema.Schema{{Type: "number"}, {Type: "null"}}}
}
