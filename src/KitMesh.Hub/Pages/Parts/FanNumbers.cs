using System.Text.Json;
using KitMesh.Domain.Results;
using NodaTime.Text;

namespace KitMesh.Hub.Pages.Parts;

/// <summary>The figures of a fan chart for the script that draws it anew, in percent.</summary>
internal static class FanNumbers
{
    /// <summary>As JSON; the page encodes it once more as text of an attribute.</summary>
    public static string Of(BankOutlook bank) => JsonSerializer.Serialize(new Dictionary<string, object>
    {
        ["days"] = bank.Days.Select(day => LocalDatePattern.Iso.Format(day.Day)).ToArray(),
        ["p05"] = Percents(bank, spread => spread.P05.Value),
        ["p25"] = Percents(bank, spread => spread.P25.Value),
        ["p50"] = Percents(bank, spread => spread.P50.Value),
        ["p75"] = Percents(bank, spread => spread.P75.Value),
        ["p95"] = Percents(bank, spread => spread.P95.Value),
    });

    private static double[] Percents(BankOutlook bank, Func<ChargeSpread, double> level) => [.. bank.Days.Select(day => Math.Round(level(day.Lowest) * 100, 1))];
}
