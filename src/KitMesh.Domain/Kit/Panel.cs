using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;

namespace KitMesh.Domain.Kit;

/// <summary>A solar panel.</summary>
/// <param name="Id">Its name.</param>
/// <param name="Bank">The bank it charges.</param>
/// <param name="Rated">DC power at 1,000 W/m2 and 25 °C cell temperature.</param>
/// <param name="Tilt">Angle from level, from 0 to 90.</param>
/// <param name="Heading">Where it faces, clockwise from north.</param>
/// <param name="TemperatureCoefficient">Change of power per kelvin as a fraction; about -0.004.</param>
/// <param name="Derate">Share of the power left after cable, controller, dirt and angle, from 0 to 1.</param>
/// <param name="OpenCircuit">Open-circuit voltage at 25 °C.</param>
/// <param name="Mass">What it weighs.</param>
public sealed record Panel(
    KitId Id,
    KitId Bank,
    Watts Rated,
    Degrees Tilt,
    Degrees Heading,
    double TemperatureCoefficient,
    double Derate,
    Volts? OpenCircuit,
    Kilograms? Mass) : KitItem(Id)
{
    /// <inheritdoc/>
    public override KitKind Kind => KitKind.Panel;
}
