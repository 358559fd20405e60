using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Models.Battery;

namespace KitMesh.Cli.Commands.Calc;

/// <summary>The columns that describe a pack, shared by pack and charge.</summary>
internal static class PackColumns
{
    public static readonly CalcColumn[] All =
    [
        new("chemistry", "nmc, lco, lfp, nimh, lead_acid or unknown."),
        new("series", "Cells in series, 1 to 200."),
        new("capacity_Ah", "Rated charge in Ah at 25 °C, above 0."),
        new("R25_ohm", "Internal resistance at 25 °C in ohm; typical of the chemistry when empty.", ""),
        new("temp_C", "Cell temperature (the coldest probe) in °C."),
    ];

    public static PackModel Read(CalcRow row)
    {
        Chemistry chemistry = row.Choice(
            "chemistry",
            ("nmc", Chemistry.Nmc), ("lco", Chemistry.Lco), ("lipo", Chemistry.Lco), ("lfp", Chemistry.Lfp), ("nimh", Chemistry.NiMh), ("lead_acid", Chemistry.LeadAcid), ("unknown", Chemistry.Unknown));
        Ohms? resistance = row.Has("R25_ohm") ? new Ohms(row.Positive("R25_ohm")) : null;
        return new PackModel(new Pack(
            KitId.Parse("pack"), null, chemistry, row.Whole("series", 1, 200), new AmpereHours(row.Positive("capacity_Ah")), resistance, null, null, null, null));
    }
}
