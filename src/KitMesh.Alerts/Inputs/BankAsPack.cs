using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;

namespace KitMesh.Alerts.Inputs;

/// <summary>Takes the packs of a bank as one pack, with the strictest limit of each kind.</summary>
public static class BankAsPack
{
    /// <summary>The packs of a bank as one.</summary>
    /// <param name="bank">The bank's name, which the reading carries.</param>
    /// <param name="packs">All declared packs.</param>
    /// <returns>The packs as one; null when none is declared for the bank, or they disagree on chemistry or series count.</returns>
    public static Pack? From(KitId bank, IEnumerable<Pack> packs)
    {
        List<Pack> own = [.. packs.Where(p => p.Bank == bank)];
        if (own.Count == 0 || own.Any(p => p.Series != own[0].Series || p.Chemistry != own[0].Chemistry))
        {
            return null;
        }

        return own[0] with
        {
            Id = bank,
            Capacity = new AmpereHours(own.Sum(p => p.Capacity.Value)),
            MinChargeTemperature = Strictest(own.Select(p => p.MinChargeTemperature?.Value), highest: true) is { } min ? new Celsius(min) : null,
            MaxChargeTemperature = Strictest(own.Select(p => p.MaxChargeTemperature?.Value), highest: false) is { } max ? new Celsius(max) : null,
            MaxCellVolts = Strictest(own.Select(p => p.MaxCellVolts?.Value), highest: false) is { } volts ? new Volts(volts) : null,
        };
    }

    private static double? Strictest(IEnumerable<double?> values, bool highest) => highest ? values.Max() : values.Min();
}
