//go:build !linux

package httpapi

import (
	"net"
	"net/netip"
)

func lookPeer(_, _ net.Addr) Peer { return Unknown }

// PeerReadable reports whether the user behind a connection can be told here.
func PeerReadable() bool { return false }

func listener(netip.AddrPort) string { return "another program" }
