using KitMesh.Outlook.Energy;

namespace KitMesh.Outlook.Learning;

/// <summary>What is believed of a place's sky and a bank's panels after the yields so far.</summary>
/// <param name="Curve">Distribution of a day's clear-sky index.</param>
/// <param name="Doubt">Doubt in that distribution, drawn once a path: standard deviation of a shift of all Gaussian positions.</param>
/// <param name="Persistence">Correlation of Gaussian positions from day to day.</param>
/// <param name="PanelFactor">What the panels give over what the trip file says; 1 is as declared.</param>
/// <param name="PanelDoubt">Its standard deviation as a fraction, the sky being what it is.</param>
/// <param name="LastZ">Gaussian position of the last day seen; null when none was.</param>
/// <param name="LastDoubt">Standard deviation of that position.</param>
/// <param name="LastAgeDays">How many days ago that was; 1 is yesterday.</param>
/// <param name="Days">Days it was learnt from.</param>
internal sealed record SkyBelief(
    SkyCurve Curve, double Doubt, double Persistence, double PanelFactor, double PanelDoubt, double? LastZ, double LastDoubt, int LastAgeDays, int Days)
{
    /// <summary>Doubt in <see cref="PanelFactor"/> as a fraction when the sky is as unknown as it is: what another sky may make of the panel.</summary>
    internal double PanelMarginal { get; init; } = PanelDoubt;
}
