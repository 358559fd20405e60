using KitMesh.Domain.Reports;

namespace KitMesh.Domain.Planning;

/// <summary>What one trip's readings tell of one figure, with what the trip file declared taken out again, so that trips can be pooled without counting it twice.</summary>
/// <param name="Trip">The trip.</param>
/// <param name="Item">The thing.</param>
/// <param name="Figure">Which figure.</param>
/// <param name="Kind">Whom a new thing of its kind may borrow from: the class of a load, "panel", "box", "source", "drive".</param>
/// <param name="Unit">UCUM.</param>
/// <param name="Declared">What that trip's file declared; 0 when nothing.</param>
/// <param name="Value">The readings' own estimate.</param>
/// <param name="Doubt">Standard deviation of <paramref name="Value"/>, in its unit.</param>
/// <param name="DaySpread">Standard deviation from day to day, in its unit; null where it has none.</param>
/// <param name="Evidence">Days, spans or events behind it.</param>
/// <param name="EvidenceOf">What is counted: "days", "spans", "failures".</param>
/// <param name="PerKelvin">Change with each kelvin that the day's air is warmer, as a fraction; null where too few temperatures tell.</param>
/// <param name="MeanAir">Mean air temperature of those days in °C; null without.</param>
public sealed record TripEvidence(
    string Trip,
    KitId Item,
    LearntFigure Figure,
    string Kind,
    string Unit,
    double Declared,
    double Value,
    double Doubt,
    double? DaySpread,
    int Evidence,
    string EvidenceOf,
    double? PerKelvin = null,
    double? MeanAir = null);
