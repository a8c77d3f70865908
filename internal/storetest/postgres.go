package storetest

import (
	"context"
	"database/sql"
	"fmt"
	"net"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"strconv"
	"syscall"
	"testing"
	"time"
)

// Postgres starts a PostgreSQL server of its own on the loopback address, with an empty
// database, and returns its URL. It is stopped when the test ends. Where Debian's
// postgresql is not installed the test is skipped loudly, and fails in CI.
func Postgres(t testing.TB) string {
	t.Helper()
	bin := postgresBin()
	if bin == "" {
		if os.Getenv("CI") != "" {
			t.Fatal("PostgreSQL is not installed: the same suite must pass on it; install Debian's postgresql")
		}
		t.Skip("SKIPPED: PostgreSQL is not installed; make test installs Debian's postgresql")
	}
	dir, err := os.MkdirTemp("", "selvage-pg-")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = os.RemoveAll(dir) })
	attr := asServerUser(t, dir)
	data := filepath.Join(dir, "data")
	run(t, attr, filepath.Join(bin, "initdb"), "-D", data, "-U", "selvage", "-A", "trust", "-E", "UTF8", "--no-locale", "--no-sync")
	port := freePort(t)
	server := exec.Command(filepath.Join(bin, "postgres"), "-D", data, "-h", "127.0.0.1", "-p", strconv.Itoa(port),
		"-k", dir, "-c", "fsync=off", "-c", "shared_buffers=16MB", "-c", "max_connections=50")
	server.SysProcAttr = attr
	if err := server.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		_ = server.Process.Signal(syscall.SIGINT) // a fast shutdown
		_ = server.Wait()
	})
	dsn := fmt.Sprintf("postgres://selvage@127.0.0.1:%d/postgres?sslmode=disable", port)
	await(t, dsn)
	return dsn
}

// postgresBin returns the folder of the newest installed server's programs.
func postgresBin() string {
	found, _ := filepath.Glob("/usr/lib/postgresql/*/bin/postgres")
	if len(found) == 0 {
		return ""
	}
	return filepath.Dir(found[len(found)-1])
}

// asServerUser makes the server run as the user that Debian's package made where the
// test is run by root, whom PostgreSQL refuses.
func asServerUser(t testing.TB, dir string) *syscall.SysProcAttr {
	t.Helper()
	if os.Getuid() != 0 {
		return nil
	}
	u, err := user.Lookup("postgres")
	if err != nil {
		t.Fatal(err)
	}
	uid, _ := strconv.ParseUint(u.Uid, 10, 32)
	gid, _ := strconv.ParseUint(u.Gid, 10, 32)
	if err := os.Chown(dir, int(uid), int(gid)); err != nil {
		t.Fatal(err)
	}
	return &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: uint32(uid), Gid: uint32(gid)}}
}

func run(t testing.TB, attr *syscall.SysProcAttr, name string, args ...string) {
	t.Helper()
	cmd := exec.Command(name, args...)
	cmd.SysProcAttr = attr
	cmd.Dir = "/"
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%s: %v\n%s", name, err, out)
	}
}

func freePort(t testing.TB) int {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	return l.Addr().(*net.TCPAddr).Port
}

func await(t testing.TB, dsn string) {
	t.Helper()
	db, err := sql.Open("pgx", dsn)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	end := time.Now().Add(time.Minute)
	for {
		err := db.PingContext(context.Background())
		if err == nil {
			return
		}
		if time.Now().After(end) {
			t.Fatalf("PostgreSQL does not answer: %v", err)
		}
		time.Sleep(50 * time.Millisecond)
	}
}
