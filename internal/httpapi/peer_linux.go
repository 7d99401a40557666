package httpapi

import (
	"bufio"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"net"
	"net/netip"
	"os"
	"path/filepath"
	"strconv"
	"strings"
)

// socket is one row of the kernel's table of TCP sockets (proc(5),
// /proc/net/tcp).
type socket struct {
	local, remote netip.AddrPort
	state         string // 01 established, 0A listening
	uid           int
	inode         string
}

// sockets walks the table until f returns false; it reports whether there is
// a table at all.
func sockets(f func(socket) bool) bool {
	found := false
	for _, name := range []string{"/proc/net/tcp", "/proc/net/tcp6"} {
		file, err := os.Open(name)
		if err != nil {
			continue
		}
		lines := bufio.NewScanner(file)
		for first := true; lines.Scan(); first = false {
			if first {
				found = true
				continue
			}
			col := strings.Fields(lines.Text())
			if len(col) < 10 {
				continue
			}
			local, ok1 := endpoint(col[1])
			remote, ok2 := endpoint(col[2])
			uid, err := strconv.Atoi(col[7])
			if !ok1 || !ok2 || err != nil {
				continue
			}
			if !f(socket{local, remote, col[3], uid, col[9]}) {
				file.Close()
				return true
			}
		}
		file.Close()
	}
	return found
}

// endpoint reads "0100007F:1F90": the address as 32-bit words in the order of
// the machine, the port in hexadecimal.
func endpoint(s string) (netip.AddrPort, bool) {
	a, p, ok := strings.Cut(s, ":")
	b, err := hex.DecodeString(a)
	port, err2 := strconv.ParseUint(p, 16, 16)
	if !ok || err != nil || err2 != nil || len(b)%4 != 0 {
		return netip.AddrPort{}, false
	}
	for i := 0; i < len(b); i += 4 {
		binary.BigEndian.PutUint32(b[i:], binary.NativeEndian.Uint32(b[i:]))
	}
	ip, ok := netip.AddrFromSlice(b)
	return netip.AddrPortFrom(ip.Unmap(), uint16(port)), ok
}

func addrPort(a net.Addr) netip.AddrPort {
	t, ok := a.(*net.TCPAddr)
	if !ok {
		return netip.AddrPort{}
	}
	ap := t.AddrPort()
	return netip.AddrPortFrom(ap.Addr().Unmap(), ap.Port())
}

// lookPeer finds the user of the socket at the other end. A socket that its
// program has let go of shows no owner, and is nobody's.
func lookPeer(remote, local net.Addr) Peer {
	peer := Other
	ok := sockets(func(s socket) bool {
		if s.local != addrPort(remote) || s.remote != addrPort(local) {
			return true
		}
		if s.state == "01" && s.inode != "0" && s.uid == os.Getuid() {
			peer = Ours
		}
		return false
	})
	if !ok {
		return Unknown
	}
	return peer
}

// PeerReadable reports whether the user behind a connection can be told here.
func PeerReadable() bool { return sockets(func(socket) bool { return true }) }

// listener says who listens on an address, as well as this user can see.
func listener(at netip.AddrPort) string {
	inode := ""
	sockets(func(s socket) bool {
		if s.state == "0A" && s.local.Port() == at.Port() && (s.local.Addr() == at.Addr() || s.local.Addr().IsUnspecified()) {
			inode = s.inode
			return false
		}
		return true
	})
	fds, _ := filepath.Glob("/proc/[0-9]*/fd/*")
	for _, fd := range fds {
		if to, err := os.Readlink(fd); inode != "" && err == nil && to == "socket:["+inode+"]" {
			pid := strings.Split(fd, "/")[2]
			name, _ := os.ReadFile("/proc/" + pid + "/comm")
			return fmt.Sprintf("process %s (%s)", pid, strings.TrimSpace(string(name)))
		}
	}
	return "another program"
}
