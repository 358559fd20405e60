using KitMesh.Domain.Results;

namespace KitMesh.Outlook.Energy;

/// <summary>The usual cautions, said wherever packs, heaters or wiring are advised on.</summary>
internal static class SafetyWords
{
    internal const string Packs = PackCaution.Words;

    internal const string Heat =
        "Warm slowly and all through: cores lag behind the probe and heater pads make hot spots. Never warm packs over a flame or on a stove.";
}
