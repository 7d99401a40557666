package soil

import "math"

// Nodes and weights of the 7-point Gauss and 15-point Kronrod rules on
// (-1, 1), positive half (Piessens et al., QUADPACK, qk15).
var (
	kronrodX = [8]float64{
		0.991455371120812639206854697526329, 0.949107912342758524526189684047851, 0.864864423359769072789712788640926, 0.741531185599394439863864773280788,
		0.586087235467691130294144691693117, 0.405845151377397166906606412076961, 0.207784955007898467600689403773245, 0,
	}
	kronrodW = [8]float64{
		0.022935322010529224963732008058970, 0.063092092629978553290700663189204, 0.104790010322250183839876322541518, 0.140653259715525918745189590510238,
		0.169004726639267902826583426598550, 0.190350578064785409913256402421014, 0.204432940075298892414161999234649, 0.209482141084727828012999174891714,
	}
	gaussW = [4]float64{0.129484966168869693270611432679082, 0.279705391489276667901467771423780, 0.381830050505118944950369775488975, 0.417959183673469387755102040816327}
)

func kronrod(f func(float64) float64, lo, hi float64) (value, doubt float64) {
	c, h := (lo+hi)/2, (hi-lo)/2
	fc := f(c)
	k, g := fc*kronrodW[7], fc*gaussW[3]
	for i := range 7 {
		s := f(c-h*kronrodX[i]) + f(c+h*kronrodX[i])
		k += s * kronrodW[i]
		if i%2 == 1 {
			g += s * gaussW[i/2]
		}
	}
	return k * h, math.Abs(k-g) * h
}

// integrate returns the integral of f from lo to hi, halving each piece until
// the two rules agree within tol (absolute) or to rounding. The doubt of the
// 15-point rule is far less than the distance to its 7-point part, which is
// what is compared.
func integrate(f func(float64) float64, lo, hi, tol float64) float64 {
	v, d := kronrod(f, lo, hi)
	return halve(f, lo, hi, v, d, tol, 12)
}

func halve(f func(float64) float64, lo, hi, v, doubt, tol float64, depth int) float64 {
	if doubt <= tol+1e-9*math.Abs(v) || depth == 0 {
		return v
	}
	mid := (lo + hi) / 2
	v1, d1 := kronrod(f, lo, mid)
	v2, d2 := kronrod(f, mid, hi)
	return halve(f, lo, mid, v1, d1, tol, depth-1) + halve(f, mid, hi, v2, d2, tol, depth-1)
}
