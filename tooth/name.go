package tooth

// Name returns the tooth in plain words, such as "upper left first molar"; "no
// tooth" for an invalid number.
func (n Number) Name() string {
	if !n.Valid() {
		return "no tooth"
	}
	return string(n.Jaw()) + " " + string(n.Side()) + " " + n.Kind()
}

// Kind returns the name of the tooth without jaw and side, such as "first molar".
func (n Number) Kind() string {
	return positionName[n.Position()]
}

var positionName = [9]string{
	"", "central incisor", "lateral incisor", "canine", "first premolar",
	"second premolar", "first molar", "second molar", "third molar",
}
