using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;

namespace KitMesh.Domain.Kit;

/// <summary>A device that must be charged or fed from a bank.</summary>
/// <param name="Id">Its name.</param>
/// <param name="Team">Whose it is.</param>
/// <param name="Bank">The bank it draws from.</param>
/// <param name="Class">How much it matters.</param>
/// <param name="Priority">Order inside its class, 1 first.</param>
/// <param name="PerDay">Energy that it takes from the bank on an ordinary day.</param>
/// <param name="Spread">Day-to-day standard deviation of <paramref name="PerDay"/> as a fraction of it.</param>
/// <param name="Battery">Energy of its own battery; null when it has none.</param>
/// <param name="Charger">Highest power that it takes while charging; null when it has no battery.</param>
/// <param name="Chemistry">Chemistry of its battery.</param>
public sealed record Load(
    KitId Id,
    KitId Team,
    KitId Bank,
    LoadClass Class,
    int Priority,
    WattHours PerDay,
    double Spread,
    WattHours? Battery,
    Watts? Charger,
    Chemistry Chemistry) : KitItem(Id)
{
    /// <inheritdoc/>
    public override KitKind Kind => KitKind.Load;
}
