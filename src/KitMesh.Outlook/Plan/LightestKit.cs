using KitMesh.Domain;
using KitMesh.Domain.Quantities;

namespace KitMesh.Outlook.Plan;

/// <summary>The lightest kit among the choices that keeps the chance below the limit.</summary>
/// <param name="Limit">The limit.</param>
/// <param name="Groups">One a bank, and one for the drives.</param>
/// <param name="Combinations">Combinations of all groups together.</param>
/// <param name="Outlooks">Full outlooks that were rolled.</param>
/// <param name="Mass">Weight of the chosen items of all groups; null when a group has no answer.</param>
public sealed record LightestKit(double Limit, ValueList<LightestGroup> Groups, double Combinations, int Outlooks, Kilograms? Mass);
