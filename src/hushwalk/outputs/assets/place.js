/* Places: from longitude and latitude to UTM metres and grid references. No map here. */
"use strict";
const Place = (() => {
  const A = 6378137, F = 1 / 298.257223563, K0 = 0.9996; /* WGS 84 and UTM, by definition */
  const n = F / (2 - F), n2 = n * n, n3 = n2 * n, n4 = n3 * n;
  const radius = (A / (1 + n)) * (1 + n2 / 4 + n4 / 64);
  const series = [ /* Krueger's series to n^4: good to well below a millimetre inside a zone */
    n / 2 - (2 * n2) / 3 + (5 * n3) / 16 + (41 * n4) / 180,
    (13 * n2) / 48 - (3 * n3) / 5 + (557 * n4) / 1440,
    (61 * n3) / 240 - (103 * n4) / 140,
    (49561 * n4) / 161280,
  ];
  const e = Math.sqrt(F * (2 - F));
  const BANDS = "CDEFGHJKLMNPQRSTUVWX", COLUMNS = ["ABCDEFGH", "JKLMNPQR", "STUVWXYZ"], ROWS = "ABCDEFGHJKLMNPQRSTUV";

  function zoneOf(lon, lat) {
    if (lat >= 56 && lat < 64 && lon >= 3 && lon < 12) return 32;
    if (lat >= 72 && lon >= 0 && lon < 42) return lon < 9 ? 31 : lon < 21 ? 33 : lon < 33 ? 35 : 37;
    return (Math.floor((lon + 180) / 6) % 60) + 1;
  }
  function toMetres(lon, lat, zone, south) {
    const phi = (lat * Math.PI) / 180, lam = ((lon - (zone * 6 - 183)) * Math.PI) / 180, s = Math.sin(phi);
    const t = Math.sinh(Math.atanh(s) - e * Math.atanh(e * s));
    const xi = Math.atan2(t, Math.cos(lam)), eta = Math.asinh(Math.sin(lam) / Math.hypot(t, Math.cos(lam)));
    let x = eta, y = xi;
    series.forEach((a, i) => {
      const j = 2 * (i + 1);
      x += a * Math.cos(j * xi) * Math.sinh(j * eta);
      y += a * Math.sin(j * xi) * Math.cosh(j * eta);
    });
    return [500000 + K0 * radius * x, (south ? 1e7 : 0) + K0 * radius * y];
  }
  const band = lat => BANDS[Math.min(19, Math.floor((lat + 80) / 8))];
  const digits = value => String(Math.floor(value)).padStart(5, "0").slice(-5);
  function usng(lon, lat) {
    const zone = zoneOf(lon, lat), [x, y] = toMetres(lon, lat, zone, lat < 0);
    const column = COLUMNS[(zone - 1) % 3][Math.floor(x / 1e5) - 1];
    const row = ROWS[(Math.floor(y / 1e5) + (zone % 2 ? 0 : 5)) % 20];
    return `${String(zone).padStart(2, "0")}${band(lat)} ${column}${row} ${digits(x % 1e5)} ${digits(y % 1e5)}`;
  }
  const utm = (lon, lat, zone, south) =>
    `${String(zone).padStart(2, "0")}${band(lat)} ${toMetres(lon, lat, zone, south).map(Math.floor).join(" ")}`;
  const side = (value, plus, minus, digits) => `${Math.abs(value).toFixed(digits)}° ${value < 0 ? minus : plus}`;
  const degrees = (lon, lat) => `${side(lat, "N", "S", 5)}, ${side(lon, "E", "W", 5)}`;
  return { toMetres, usng, utm, degrees };
})();
