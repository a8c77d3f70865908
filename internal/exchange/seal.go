package exchange

import (
	"crypto/ed25519"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
)

// SealSchema names the form of a seal.
const SealSchema = "selvage.seal/1"

// Seal is a signature of a manifest, and with it of everything that the manifest names.
type Seal struct {
	Schema    string `json:"schema" doc:"Always selvage.seal/1."`
	Algorithm string `json:"algorithm" doc:"Always Ed25519 (RFC 8032)."`
	Of        string `json:"of" doc:"The file that is signed, byte for byte: manifest.json."`
	PublicKey string `json:"public_key" doc:"Base64. Compare it, or its fingerprint, with what the sender told you another way."`
	Signature string `json:"signature" doc:"Base64."`
}

// seal signs a manifest.
func seal(manifest []byte, key ed25519.PrivateKey) ([]byte, error) {
	public, ok := key.Public().(ed25519.PublicKey)
	if !ok {
		return nil, errors.New("seal: no Ed25519 key")
	}
	data, err := json.MarshalIndent(Seal{
		Schema: SealSchema, Algorithm: "Ed25519", Of: manifestName,
		PublicKey: base64.StdEncoding.EncodeToString(public),
		Signature: base64.StdEncoding.EncodeToString(ed25519.Sign(key, manifest)),
	}, "", "  ")
	return append(data, '\n'), err
}

// opened returns who sealed a manifest; an error where the seal is broken.
func opened(sealed, manifest []byte) (ed25519.PublicKey, error) {
	var s Seal
	if err := json.Unmarshal(sealed, &s); err != nil {
		return nil, fmt.Errorf("the seal cannot be read: %w", err)
	}
	public, err := base64.StdEncoding.DecodeString(s.PublicKey)
	if err != nil || len(public) != ed25519.PublicKeySize || s.Schema != SealSchema || s.Of != manifestName {
		return nil, errors.New("the seal cannot be read")
	}
	signature, err := base64.StdEncoding.DecodeString(s.Signature)
	if err != nil || !ed25519.Verify(public, manifest, signature) {
		return nil, errors.New("the seal is broken: the manifest is not what was sealed")
	}
	return public, nil
}

// Fingerprint is a public key as people compare it over the telephone: the first twenty
// hexadecimal digits of its hash in groups of four.
func Fingerprint(public ed25519.PublicKey) string {
	h := sum(public)[:20]
	return h[:4] + " " + h[4:8] + " " + h[8:12] + " " + h[12:16] + " " + h[16:20]
}
