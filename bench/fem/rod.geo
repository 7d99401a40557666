// An upright rod from the surface in two layers, in r and z (z up), half of
// it, with the far boundary on a quarter circle.
a = 0.0079375; l = 2.4384; h = 1.5; far = 300;
near = a / n; side = 4 * near; out = 25;
Point(1) = {a, 0, 0, near};
Point(2) = {a, -h, 0, near};
Point(3) = {a, -l, 0, near};
Point(4) = {0, -l, 0, near};
Point(5) = {0, -far, 0, out};
Point(6) = {far * Cos(Asin(h / far)), -h, 0, out};
Point(7) = {far, 0, 0, out};
Point(8) = {0, 0, 0, near};
Line(1) = {1, 2}; Line(2) = {2, 3}; Line(3) = {3, 4};
Line(4) = {4, 5};
Circle(5) = {5, 8, 6}; Circle(6) = {6, 8, 7};
Line(7) = {7, 1}; Line(8) = {2, 6};
Curve Loop(1) = {1, 8, 6, 7}; Plane Surface(1) = {1};
Curve Loop(2) = {2, 3, 4, 5, -8}; Plane Surface(2) = {2};
Physical Surface("upper", 1) = {1};
Physical Surface("lower", 2) = {2};
Physical Curve("rod", 3) = {1, 2, 3};
Physical Curve("far", 4) = {5, 6};
Mesh.Algorithm = 6;
