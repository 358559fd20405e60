namespace KitMesh.Domain.Results;

/// <summary>What a plan counts against the kit before anything is measured. On the trip, readings tell.</summary>
/// <param name="CapacityShare">Share of the packs' rated capacity that is counted on, from 0 to 1.</param>
/// <param name="SkyWidening">Spread of a day's clear-sky index over that of published tables.</param>
/// <param name="SkyPersistence">Correlation of a day's sky with the day before, from 0 to 0.9.</param>
/// <param name="StormIndex">Clear-sky index of a day below which nobody puts panels out.</param>
public sealed record PlanCaution(double CapacityShare, double SkyWidening, double SkyPersistence, double StormIndex)
{
    /// <summary>
    /// Packs that went on trips before hold 90 to 100 % of their rating (makers call a cell worn at 80 %): common practice, no source. Published tables of daily
    /// clearness are of one month over many years and know few storms; one trip meets fair spells and storms of one to three days, in which the panels stay
    /// in: wider by a half, carried on by 0.5 from day to day, dark below 0.2: own choices, held against other weather in docs/plans.md.
    /// </summary>
    public static PlanCaution Usual { get; } = new(0.95, 1.5, 0.5, 0.2);
}
