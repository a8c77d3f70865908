package prescription

import "slices"

// Rule is what the law of a place asks of a prescription to a laboratory.
type Rule struct {
	Key    string // as in case.json
	Place  string
	Title  string  // that the document must carry; empty: any
	Need   []Field // besides what every rule asks
	Years  int     // for which it is kept; 0: the text says none
	Source string  // the text that was read
	Note   string  // what else it says
}

// always is what every rule asks: who, for whom, when, what, of what. A signature is asked
// for as well, and given by signing.
var always = []Field{Written, PrescriberName, PrescriberLicence, PatientReference, Kind, Material}

// rules are the rules whose text was read, by key.
var rules = []Rule{
	{
		Key: "us-fl", Place: "Florida", Title: "Laboratory Procedure Prescription", Years: 4,
		Need:   []Field{LaboratoryName, LaboratoryAddress, LaboratoryLicence, PrescriberAddress},
		Source: "Fla. Admin. Code 64B5-17.006", Note: "The signature may be electronic; an electronic copy is kept encrypted.",
	},
	{
		Key: "us-md", Place: "Maryland", Need: []Field{LaboratoryName, LaboratoryAddress},
		Source: "Md. Code, Health Occ. § 4-403", Note: "A duplicate is kept.",
	},
	{
		Key: "us-mt", Place: "Montana", Need: []Field{LaboratoryName, LaboratoryAddress, Grade}, Years: 2,
		Source: "Mont. Code § 37-4-501", Note: "Material by type and quality; where a number stands for the patient, the dentist's copy has the name.",
	},
	{
		Key: "us-wv", Place: "West Virginia", Need: []Field{LaboratoryName, CaseNumber, PrescriberAddress}, Years: 2,
		Source: "W. Va. Code § 30-4B-2", Note: "One prescription for each patient; a duplicate is kept.",
	},
	{
		Key: "us-ok", Place: "Oklahoma", Need: []Field{LaboratoryName, CaseNumber}, Years: 3,
		Source: "59 Okla. Stat. § 328.36a", Note: "Models and appliances carry the number of the prescription or the patient's name.",
	},
	{
		Key: "us-oh", Place: "Ohio", Need: []Field{LaboratoryName, LaboratoryAddress, PrescriberAddress}, Years: 2,
		Source: "Ohio Adm. Code 4715-5-02", Note: "Signed in ink. The laboratory returns materials, place of making, its registration, subcontractors, and how it disinfected.",
	},
	{
		Key: "us-sc", Place: "South Carolina",
		Need:   []Field{LaboratoryName, LaboratoryAddress, PrescriberAddress, PrescriberPhone, PatientName, Centric, Excursions, ShadeBody, Disinfected},
		Source: "S.C. Code Regs. 39-8; S.C. Code § 40-15-125", Note: "The patient's name stands on the order. The laboratory returns the country of origin and all materials.",
	},
	{
		Key: "us-ct", Place: "Connecticut", Need: []Field{LaboratoryName}, Years: 1,
		Source: "Conn. Gen. Stat. § 20-122a", Note: "On the commission's form.",
	},
	{
		Key: "us-ny", Place: "New York", Need: []Field{LaboratoryName}, Years: 1,
		Source: "N.Y. Educ. Law § 6611", Note: "In duplicate.",
	},
	{
		Key: "us", Place: "United States, another state", Need: []Field{LaboratoryName, LaboratoryAddress}, Years: 4,
		Source: "the fields that the state texts read have in common; kept as long as the longest of them asks", Note: "Look into your own state's rule.",
	},
	{
		Key: "eu", Place: "European Union", Need: []Field{LaboratoryName, LaboratoryAddress, CaseNumber}, Years: 10,
		Source: "Regulation (EU) 2017/745, Art. 2(3) and Annex XIII", Note: "A custom-made device on a written prescription; the maker's statement names the patient by name, acronym or number and is kept for ten years.",
	},
}

// Rules lists the rules, in the order in which they are offered.
func Rules() []Rule {
	out := slices.Clone(rules)
	for i := range out {
		out[i].Need = append(slices.Clone(always), out[i].Need...)
	}
	return out
}

// RuleOf returns the rule of a key; ok is false where there is none.
func RuleOf(key string) (r Rule, ok bool) {
	for _, r := range Rules() {
		if r.Key == key {
			return r, true
		}
	}
	return Rule{}, false
}
