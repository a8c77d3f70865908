package cli

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"errors"
	"fmt"
	"io/fs"
	"math/big"
	"net"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// transport says how the page reaches other computers.
type transport struct {
	Cert       string `help:"Certificate of the page, PEM; it is then served encrypted." predictor:"file" env:"SELVAGE_SERVE_CERT"`
	Key        string `help:"Private key of the certificate, PEM." predictor:"file" env:"SELVAGE_SERVE_KEY"`
	SelfSigned bool   `help:"Make a certificate, kept beside the key of the stored scans, and print its fingerprint." env:"SELVAGE_SERVE_SELF_SIGNED"`
}

// How long a certificate that is made here lasts, and when the next one is made. WHY not
// longer: browsers refuse certificates of more than 825 days.
const (
	certLife  = 800 * 24 * time.Hour
	certSpare = 30 * 24 * time.Hour
)

// config returns how the page at an address is encrypted; nil where it is not. An address
// that other computers can reach is refused without a certificate: what is sent there
// would be read on the way.
func (t transport) config(addr, keyFile string) (conf *tls.Config, fingerprint string, err error) {
	host, _, err := net.SplitHostPort(addr)
	if err != nil {
		return nil, "", &inputError{What: "--listen " + addr + ": " + err.Error(), Try: "--listen 127.0.0.1:7330"}
	}
	var cert tls.Certificate
	switch {
	case t.Cert != "" && t.SelfSigned:
		return nil, "", &inputError{What: "--cert and --self-signed are two certificates", Try: "one of the two"}
	case (t.Cert == "") != (t.Key == ""):
		return nil, "", &inputError{What: "a certificate and its key belong together", Try: "--cert FILE --key FILE"}
	case t.Cert != "":
		if cert, err = tls.LoadX509KeyPair(t.Cert, t.Key); err != nil {
			return nil, "", &inputError{File: t.Cert, What: "the certificate cannot be used: " + err.Error(), Try: "--cert and --key with PEM files that belong together", Err: err}
		}
	case t.SelfSigned:
		if cert, err = ownCert(filepath.Dir(keyFile), host); err != nil {
			return nil, "", &inputError{What: "no certificate can be kept beside the key of the stored scans: " + err.Error(), Err: err}
		}
	case loopback(host):
		return nil, "", nil
	default:
		return nil, "", &inputError{What: or(host, "every address of this computer") + " can be reached from other computers, and without a certificate what is sent can be read on the way", Try: "--listen 127.0.0.1:7330, or --self-signed, or --cert FILE --key FILE"}
	}
	conf = &tls.Config{MinVersion: tls.VersionTLS12, Certificates: []tls.Certificate{cert}, NextProtos: []string{"h2", "http/1.1"}}
	return conf, fingerprintOf(cert), nil
}

// loopback reports whether only this computer can reach a host.
func loopback(host string) bool {
	ip := net.ParseIP(host)
	return host == "localhost" || ip != nil && ip.IsLoopback()
}

// shownAddr is an address that a browser can open.
func shownAddr(a net.Addr) string {
	if t, ok := a.(*net.TCPAddr); ok && t.IP.IsUnspecified() {
		return fmt.Sprintf("localhost:%d", t.Port)
	}
	return a.String()
}

func or(s, otherwise string) string {
	if s == "" {
		return otherwise
	}
	return s
}

// fingerprintOf returns the SHA-256 of a certificate, as browsers show it.
func fingerprintOf(c tls.Certificate) string {
	sum := sha256.Sum256(c.Certificate[0])
	parts := make([]string, len(sum))
	for i, b := range sum {
		parts[i] = fmt.Sprintf("%02X", b)
	}
	return strings.Join(parts, ":")
}

// ownCert returns the certificate that is kept in a folder, and makes one where there is
// none, where it ends soon, or where it does not name the host.
func ownCert(dir, host string) (tls.Certificate, error) {
	certFile, keyFile := filepath.Join(dir, "page.crt"), filepath.Join(dir, "page.key")
	c, err := tls.LoadX509KeyPair(certFile, keyFile)
	if err == nil {
		leaf := c.Leaf
		if time.Until(leaf.NotAfter) > certSpare && leaf.VerifyHostname(names(host)[0]) == nil {
			return c, nil
		}
	} else if !errors.Is(err, fs.ErrNotExist) {
		return c, err
	}
	certPEM, keyPEM, err := makeCert(names(host))
	if err != nil {
		return c, err
	}
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return c, err
	}
	if err := os.WriteFile(keyFile, keyPEM, 0o600); err != nil {
		return c, err
	}
	if err := os.WriteFile(certFile, certPEM, 0o644); err != nil {
		return c, err
	}
	return tls.X509KeyPair(certPEM, keyPEM)
}

// names lists what the page may be called: the host, or whatever this computer is called
// where it is served at all of its addresses.
func names(host string) []string {
	if ip := net.ParseIP(host); host != "" && (ip == nil || !ip.IsUnspecified()) {
		return []string{host}
	}
	var out []string
	if h, err := os.Hostname(); err == nil {
		out = append(out, h)
	}
	out = append(out, "localhost")
	addrs, err := net.InterfaceAddrs()
	if err != nil {
		return out
	}
	for _, a := range addrs {
		if n, ok := a.(*net.IPNet); ok {
			out = append(out, n.IP.String())
		}
	}
	return out
}

// makeCert makes a certificate that its own key signs.
func makeCert(hosts []string) (certPEM, keyPEM []byte, err error) {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return nil, nil, err
	}
	serial, err := rand.Int(rand.Reader, new(big.Int).Lsh(big.NewInt(1), 120))
	if err != nil {
		return nil, nil, err
	}
	now := time.Now()
	t := &x509.Certificate{
		SerialNumber: serial, Subject: pkix.Name{CommonName: "Selvage at " + hosts[0]},
		NotBefore: now.Add(-time.Hour), NotAfter: now.Add(certLife),
		KeyUsage: x509.KeyUsageDigitalSignature, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth},
		BasicConstraintsValid: true,
	}
	for _, h := range hosts {
		if ip := net.ParseIP(h); ip != nil {
			t.IPAddresses = append(t.IPAddresses, ip)
		} else {
			t.DNSNames = append(t.DNSNames, h)
		}
	}
	der, err := x509.CreateCertificate(rand.Reader, t, t, &key.PublicKey, key)
	if err != nil {
		return nil, nil, err
	}
	keyDER, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		return nil, nil, err
	}
	return pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der}), pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: keyDER}), nil
}
