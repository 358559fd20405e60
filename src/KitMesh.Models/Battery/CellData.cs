using KitMesh.Domain.Kit;

namespace KitMesh.Models.Battery;

/// <summary>Per-chemistry figures of one cell that are not tables of their own.</summary>
/// <param name="OhmAmpereHours">Resistance at 25 °C times rated charge; typical makers' sheets, from memory.</param>
/// <param name="CutOffVolts">Voltage at which a load stops, conservative against makers' sheets.</param>
/// <param name="ChargeEfficiency">Energy kept of what goes in at moderate current.</param>
/// <remarks>
/// Charge efficiency: LFP 0.987 at C/27 measured (same source as the resistance curve), taken as 0.96 at camp currents; lead-acid 0.85 and nickel 0.75
/// as reference pages give; other lithium as LFP. A pack's own resistance replaces the typical one when it is declared.
/// </remarks>
internal readonly record struct CellData(double OhmAmpereHours, double CutOffVolts, double ChargeEfficiency)
{
    internal static CellData For(Chemistry chemistry) => chemistry switch
    {
        Chemistry.Lfp => new(0.05, 2.6, 0.96),
        Chemistry.NiMh => new(0.05, 1.0, 0.75),
        Chemistry.LeadAcid => new(0.10, 1.80, 0.85),
        Chemistry.Lco => new(0.15, 3.0, 0.95),
        _ => new(0.12, 3.0, 0.95),
    };
}
