using System.ComponentModel;
using System.Diagnostics;
using System.Globalization;
using System.Text.Json;

namespace KitMesh.Cli.Commands.Bench;

/// <summary>The path engine's recurrence in numpy, vectorised over the paths, for comparison. The numbers are those of <c>OutlookWorkload.StandardBank</c>.</summary>
internal static class NumpyOutlook
{
    private const string Script = """
        import json, sys, time
        try:
            import numpy as np
        except ImportError:
            sys.exit(3)
        N, DAYS = int(sys.argv[1]), int(sys.argv[2])
        SKY = np.array([float(x) for x in sys.argv[3:]]); ZS = np.linspace(-4, 4, len(SKY)); LOW, HIGH = 0.03, 1.04
        def run(seed):
            g = np.random.default_rng(seed)
            n = g.standard_normal
            cap, res = 1280.0, 0.2 * 1280.0
            E = np.clip(0.7 + 0.05 * n(N), 0, 1) * cap
            T = -5 + 1.0 * n(N)
            ln = lambda z, s: np.exp(z * s - s * s / 2)
            pf, lf = ln(n(N), 0.1), ln(n(N), 0.1)
            shift, airs = 0.3 * n(N), 2.0 * n(N)
            ua = ln(n(N), 0.15) * 0.25
            decay = np.exp(ua * (-3600 / 12000.0)); kpw = (1 - decay) / ua; wpk = 1 / kpw
            z, an = n(N), 4.0 * n(N)
            on = np.zeros(N); out = []; first = np.full(N, 1e9); rise = 1000 / 255 / 31.84
            zf, zw = np.array([-1e9, 2.0, 10.0, 25.0]), np.array([0.0, 128.0, 256.0, 640.0])
            for d in range(DAYS):
                z = 0.3 * z + n(N) * np.sqrt(1 - 0.09); an = 0.7 * an + n(N) * (4 * np.sqrt(1 - 0.49))
                k = np.interp(shift + z, ZS, SKY)
                ld, half = lf * np.maximum(0.1, 1 + 0.2 * n(N)), 0.12 * n(N)
                am, pm = np.clip(k - half, LOW, HIGH), np.clip(k + half, LOW, HIGH)
                cl, air0 = 0.5 + 0.5 * k, airs + an
                up = np.where((np.exp((z * -0.3 + n(N) * np.sqrt(1 - 0.09)) * 0.4) * 8 <= 15) & (E < 2 * cap), 1.0, 0.0)
                pt = pf * up * np.where(k < 0.35, 1 - np.minimum(1, np.abs(n(N))) * 0.3, 1.0)
                low = E.copy(); hv = np.zeros(N); pn = np.zeros(N); lo = np.zeros(N); he = np.zeros(N)
                for h in range(24):
                    sun = max(0.0, np.cos((h - 12) * np.pi / 11))
                    air = -17 + air0 + cl * (11 * np.cos((h - 14.5) * np.pi / 12))
                    load = ld * (70 if h >= 18 else 12)
                    free = air + (T - air) * decay
                    on = np.where(free < 5, 1.0, np.where(T >= 14.95, 0.0, on))
                    kk = am if h < 12 else pm
                    rated = kk * (255 * sun * 0.9 + kk * (255 * sun * 0.1))
                    panel = np.maximum(0, rated * (1 + (air + rated * rise - 25) * -0.004) * pt) if sun > 0 else np.zeros(N)
                    if 5 <= h < 17:
                        within = np.where(E > 0.03 * cap, 40.0, np.minimum(40.0, np.maximum(0, panel - load)))
                        heat = on * np.minimum(np.maximum(0, (15 - free) * wpk), within)
                    else:
                        heat = np.zeros(N)
                    need = load + heat; charge = np.zeros(N); miss = need
                    if sun > 0:
                        net = panel - need
                        zone = np.where(T > 45, 0.0, zw[np.searchsorted(zf, T, side='right') - 1])
                        charge = np.minimum(np.maximum(0, net), np.minimum(zone, np.maximum(0, (cap - E) * min(6, 1 / 0.96))))
                        miss = np.maximum(0, -net); pn += panel; hv += np.minimum(panel, need) + charge
                    floor = np.maximum(0, 0.02 - T * 0.004) * cap
                    draw = np.minimum(miss, np.maximum(0, E - floor) * 0.98)
                    uns = miss - draw; cut = np.minimum(heat, uns); hs = heat - cut
                    E = E + charge * 0.96 - draw / 0.98
                    T = free + (hs + charge * 0.04 + draw * (1 / 0.98 - 1)) * kpw
                    low = np.minimum(low, E); lo += load - (uns - cut); he += hs
                    first = np.where((E < res) | (uns - cut > 1e-6), np.minimum(first, d * 24 + h), first)
                q = [0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95]
                out.append([np.quantile(low, q), np.quantile(E, q)] + [np.quantile(x, [0.1, 0.5, 0.9]) for x in (hv, pn - hv, lo, he, hv - he)])
            return float(np.median(E) / cap)
        m = run(1); walls, cpus = [], []
        for s in range(3):
            c, t = time.process_time(), time.perf_counter(); m = run(1)
            walls.append(time.perf_counter() - t); cpus.append(time.process_time() - c)
        print(json.dumps({"wall": sorted(walls)[1] * 1e3, "cpu": sorted(cpus)[1] * 1e3, "median": m, "version": np.__version__}))
        """;

    public static async Task<NumpyTiming?> TimeAsync(string python, int paths, int days, CancellationToken stop)
    {
        double[] sky = KitMesh.Outlook.Energy.OutlookWorkload.SkyOfStandardBank();
        var start = new ProcessStartInfo(python) { RedirectStandardInput = true, RedirectStandardOutput = true, RedirectStandardError = true };
        foreach (string argument in (string[])["-", Text(paths), Text(days), .. sky.Select(Text)])
        {
            start.ArgumentList.Add(argument);
        }

        // One thread on both sides.
        start.Environment["OMP_NUM_THREADS"] = "1";
        start.Environment["OPENBLAS_NUM_THREADS"] = "1";
        try
        {
            using Process process = Process.Start(start)!;
            await process.StandardInput.WriteAsync(Script.AsMemory(), stop);
            process.StandardInput.Close();
            string output = await process.StandardOutput.ReadToEndAsync(stop);
            await process.WaitForExitAsync(stop);
            if (process.ExitCode != 0)
            {
                return null;
            }

            JsonElement json = JsonDocument.Parse(output).RootElement;
            return new NumpyTiming(
                json.GetProperty("wall").GetDouble(), json.GetProperty("cpu").GetDouble(), json.GetProperty("median").GetDouble(), json.GetProperty("version").GetString()!);
        }
        catch (Win32Exception)
        {
            return null;
        }
    }

    private static string Text<T>(T value)
        where T : IFormattable => value.ToString(null, CultureInfo.InvariantCulture);
}
