using KitMesh.Domain;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;

namespace KitMesh.Outlook.Plan;

/// <summary>What somebody or something carries.</summary>
/// <param name="Carrier">The person, team or sled; null for what nobody is named for.</param>
/// <param name="IsSled">True for a sled, boat or bag.</param>
/// <param name="Mass">Together.</param>
/// <param name="Items">What it is, heaviest first, in words.</param>
public sealed record CarriedWeight(KitId? Carrier, bool IsSled, Kilograms Mass, ValueList<string> Items);
