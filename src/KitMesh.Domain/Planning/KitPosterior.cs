using KitMesh.Domain.Reports;

namespace KitMesh.Domain.Planning;

/// <summary>What is believed of one figure of one thing after all trips, to start the next plan from.</summary>
/// <param name="Item">The thing.</param>
/// <param name="Figure">Which figure.</param>
/// <param name="Unit">UCUM.</param>
/// <param name="Value">The median.</param>
/// <param name="Doubt">Standard deviation of the logarithm of the belief; for failures, of the rate itself in its unit.</param>
/// <param name="DaySpread">Standard deviation from day to day, in the unit; null where it has none.</param>
/// <param name="PerKelvin">Change with each kelvin that the day's air is warmer, as a fraction; null where unknown.</param>
/// <param name="MeanAir">Mean air temperature behind it in °C; null without.</param>
/// <param name="Trips">The trips behind it.</param>
/// <param name="Evidence">Days or spans behind it, all trips together.</param>
/// <param name="FromItsKind">Share of the belief that comes from others of its kind, from 0 to 1.</param>
public sealed record KitPosterior(
    KitId Item,
    LearntFigure Figure,
    string Unit,
    double Value,
    double Doubt,
    double? DaySpread,
    double? PerKelvin,
    double? MeanAir,
    ValueList<string> Trips,
    int Evidence,
    double FromItsKind);
