package cli

import (
	"context"
	"crypto/tls"
	"crypto/x509"
	"errors"
	"io"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
)

// TestTransportRefuses checks that nothing is served in the open to other computers.
func TestTransportRefuses(t *testing.T) {
	key := filepath.Join(t.TempDir(), "scans.key")
	for _, addr := range []string{"0.0.0.0:7331", ":7331", "[::]:7331", "10.0.0.2:7331", "practice.example:7331", "localhost.example:1", "192.0.2.7:80", "127.0.0.1", "nothing"} {
		var bad *inputError
		if _, _, err := (transport{}).config(addr, key); !errors.As(err, &bad) {
			t.Errorf("--listen %s without a certificate: %v", addr, err)
		}
	}
	for _, addr := range []string{"127.0.0.1:7330", "localhost:7330", "[::1]:7330", "127.8.8.8:1"} {
		if conf, _, err := (transport{}).config(addr, key); err != nil || conf != nil {
			t.Errorf("--listen %s: %v, %v", addr, conf, err)
		}
	}
	for _, v := range []transport{{Cert: "a"}, {Key: "a"}, {Cert: "a", Key: "b", SelfSigned: true}, {Cert: "not there", Key: "not there"}} {
		var bad *inputError
		if _, _, err := v.config("0.0.0.0:7331", key); !errors.As(err, &bad) {
			t.Errorf("%+v: %v", v, err)
		}
	}
}

// TestSelfSigned makes a certificate, serves with it, and finds it again.
func TestSelfSigned(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "keys")
	key := filepath.Join(dir, "scans.key")
	conf, print1, err := transport{SelfSigned: true}.config("127.0.0.1:0", key)
	if err != nil {
		t.Fatal(err)
	}
	if info, err := os.Stat(filepath.Join(dir, "page.key")); err != nil || runtime.GOOS != "windows" && info.Mode().Perm() != 0o600 {
		t.Errorf("the private key: %v, %v", info, err)
	}
	_, print2, err := transport{SelfSigned: true}.config("127.0.0.1:0", key)
	if err != nil || print1 != print2 || len(print1) != 95 {
		t.Errorf("the second time the fingerprint is %s, was %s (%v)", print2, print1, err)
	}
	_, print3, err := transport{Cert: filepath.Join(dir, "page.crt"), Key: filepath.Join(dir, "page.key")}.config("0.0.0.0:0", key)
	if err != nil || print3 != print1 {
		t.Errorf("the same certificate by name: %s, %v", print3, err)
	}
	plain, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(t.Context())
	served := make(chan error, 1)
	go func() {
		served <- listen(ctx, tls.NewListener(plain, conf), http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
			_, _ = io.WriteString(w, map[bool]string{true: "encrypted"}[r.TLS != nil])
		}))
	}()
	pool := x509.NewCertPool()
	pool.AddCert(conf.Certificates[0].Leaf)
	client := &http.Client{Transport: &http.Transport{TLSClientConfig: &tls.Config{RootCAs: pool}}}
	res, err := client.Get("https://" + plain.Addr().String() + "/")
	if err != nil {
		t.Fatal(err)
	}
	body, err := io.ReadAll(res.Body)
	if err != nil || string(body) != "encrypted" {
		t.Errorf("answer %q, %v", body, err)
	}
	_ = res.Body.Close()
	old := &http.Client{Transport: &http.Transport{TLSClientConfig: &tls.Config{RootCAs: pool, MaxVersion: tls.VersionTLS11}}}
	if _, err := old.Get("https://" + plain.Addr().String() + "/"); err == nil || !strings.Contains(err.Error(), "version") {
		t.Errorf("TLS 1.1 was spoken: %v", err)
	}
	client.CloseIdleConnections()
	stop()
	if err := <-served; err != nil {
		t.Error(err)
	}
	_, print4, err := transport{SelfSigned: true}.config("10.0.0.2:0", key)
	if err != nil || print4 == print1 {
		t.Errorf("a certificate of another name was taken: %v", err)
	}
}
