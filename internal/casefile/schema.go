package casefile

import (
	"reflect"

	"selvage/finding"
	"selvage/internal/schema"
	"selvage/limit"
	"selvage/tooth"
)

// The ids of the published schemas. They are names, not addresses.
const (
	CaseSchemaID   = "urn:selvage:schema:case:1"
	ReportSchemaID = "urn:selvage:schema:report:1"
)

// SchemaOfCase returns the JSON Schema of case.json, as published in
// doc/formats/case.schema.json.
func SchemaOfCase() ([]byte, error) {
	g := &schema.Generator{}
	schema.Words(g, Kinds())
	schema.Words(g, limit.Materials())
	schema.Words(g, limit.Cements())
	schema.Words(g, limit.FinishLines())
	schema.Words(g, Makers())
	schema.Words(g, SpaceChoices())
	schema.Words(g, MarginDepths())
	schema.Words(g, Alerts())
	schema.Words(g, SubcontractChoices())
	schema.Words(g, tooth.Systems())
	schema.Words(g, finding.Roles())
	schema.Words(g, AllUnits())
	s, err := g.Of(Case{}, CaseSchemaID, "Selvage case", "The prescription and the list of scans of one case, case.json.")
	if err != nil {
		return nil, err
	}
	shortForm(g, s)
	return schema.Encode(s)
}

// shortForm adds to the schema of a case what Parse accepts beyond the types: tooth
// and restoration at the top level, and a bridge that names its abutments only.
func shortForm(g *schema.Generator, s *schema.Schema) {
	c := s.Defs.Find("Case")
	restoration := s.Defs.Find("Restoration")
	without := *restoration
	without.Required = nil
	c.Properties = append(c.Properties,
		schema.Property{Name: "tooth", Schema: with(g.Type(reflect.TypeFor[ToothCode]()), "Short form: the prepared tooth of the only restoration.")},
		schema.Property{Name: "restoration", Schema: &schema.Schema{
			Description: "Short form: what is to be made.",
			AnyOf:       []*schema.Schema{g.Type(reflect.TypeFor[Kind]()), &without},
		}},
	)
	c.Required = []string{"scans"}
	c.OneOf = []*schema.Schema{{Required: []string{"restorations"}}, {Required: []string{"tooth"}}}
	restoration.Required = nil
	restoration.AnyOf = []*schema.Schema{{Required: []string{"tooth"}}, {Required: []string{"abutments"}}}
	one := 1
	for _, list := range []string{"restorations", "scans"} {
		c.Properties.Find(list).MinItems = &one
	}
}

func with(s *schema.Schema, doc string) *schema.Schema {
	c := *s
	c.Description = doc
	return &c
}

// SchemaOfReport returns the JSON Schema of the report, as published in
// doc/formats/report.schema.json.
func SchemaOfReport() ([]byte, error) {
	g := &schema.Generator{}
	schema.Words(g, []finding.Stage{finding.Preparation, finding.Final})
	schema.Words(g, finding.Verdicts())
	schema.Words(g, finding.Codes())
	schema.Words(g, finding.Actions())
	schema.Words(g, []finding.Call{finding.Proven, finding.TooClose, finding.Advised})
	schema.Words(g, []finding.StretchState{finding.Unclear, finding.NotCaptured})
	schema.Words(g, finding.Roles())
	schema.Words(g, append(limit.FinishLines(), limit.Mixed))
	schema.Words(g, append(tooth.Sectors(), tooth.Occlusal))
	schema.Words(g, AllUnits())
	s, err := g.Of(Report{}, ReportSchemaID, "Selvage report", "What was measured and found on one case, and the verdict.")
	if err != nil {
		return nil, err
	}
	s.Defs.Find("Report").Properties.Find("schema").Const = ReportSchema
	return schema.Encode(s)
}

// JSONSchema says that a tooth is an object, or a bare text.
func (ToothCode) JSONSchema(g *schema.Generator) *schema.Schema {
	return &schema.Schema{AnyOf: []*schema.Schema{
		g.Object(reflect.TypeFor[ToothCode]()),
		{Type: "string", Description: "A Palmer designation, or else two digits of ISO 3950."},
	}}
}

// JSONSchema says that the tooth of a scan is an object, or a bare text.
func (ToothRef) JSONSchema(g *schema.Generator) *schema.Schema {
	return &schema.Schema{AnyOf: []*schema.Schema{
		g.Object(reflect.TypeFor[ToothCode]()),
		{Type: "string", Description: "A number in the system of the restorations."},
	}}
}

// orWhy is the schema of something that has either its value, known by one field,
// or the reason why there is none: never both, never neither.
func orWhy(g *schema.Generator, form reflect.Type, value string) *schema.Schema {
	s := g.Object(form)
	s.OneOf = []*schema.Schema{{Required: []string{value}}, {Required: []string{"not_measured"}}}
	return s
}

// JSONSchema says what MarshalJSON writes.
func (Measure) JSONSchema(g *schema.Generator) *schema.Schema {
	return orWhy(g, reflect.TypeFor[measureJSON](), "value")
}

// JSONSchema says what MarshalJSON writes.
func (AxisMeasure) JSONSchema(g *schema.Generator) *schema.Schema {
	return orWhy(g, reflect.TypeFor[axisJSON](), "value")
}

// JSONSchema says what MarshalJSON writes.
func (Margin) JSONSchema(g *schema.Generator) *schema.Schema {
	return orWhy(g, reflect.TypeFor[marginJSON](), "points")
}

// JSONSchema says what MarshalJSON writes.
func (FinishLine) JSONSchema(g *schema.Generator) *schema.Schema {
	return orWhy(g, reflect.TypeFor[finishLineJSON](), "kind")
}
