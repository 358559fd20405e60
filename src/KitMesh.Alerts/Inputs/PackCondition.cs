using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Alerts.Inputs;

/// <summary>The newest reading of a pack or bank with what is declared of it.</summary>
/// <param name="Declared">The pack; for a bank its packs taken as one, see <see cref="BankAsPack"/>.</param>
/// <param name="Reading">The newest reading.</param>
/// <param name="At">When it was taken.</param>
/// <param name="Box">The box it rides in, where known.</param>
/// <param name="Ambient">Temperature outside the box, where known.</param>
/// <param name="NextCharging">When charging can begin next (sunrise, for example); null when not known.</param>
public sealed record PackCondition(
    Pack Declared,
    BatteryReading Reading,
    Instant At,
    Box? Box = null,
    Celsius? Ambient = null,
    Instant? NextCharging = null);
