using System.Diagnostics.CodeAnalysis;
using System.Text.Json.Nodes;
using KitMesh.TripFile.Reading;

namespace KitMesh.TripFile.Keys;

/// <summary>Where a hub answers: scheme, host and port.</summary>
internal sealed class AddressKey(string name, string sample, string meaning) : TripKey<Uri>(name, meaning, required: true)
{
    public override string Sample => sample;

    public override string Fits => "scheme, host and port, no path; https, or http on this machine";

    public override JsonObject Schema() => new()
    {
        ["type"] = "string",
        ["pattern"] = "^https?://[^/?#@]+/?$",
        ["description"] = Meaning,
        ["examples"] = new JsonArray(sample),
    };

    protected override bool TryReadText(string text, KeyPlace place, [MaybeNullWhen(false)] out Uri value)
    {
        bool fits = Uri.TryCreate(text, UriKind.Absolute, out value)
            && (value.Scheme == Uri.UriSchemeHttps || (value.Scheme == Uri.UriSchemeHttp && value.IsLoopback))
            && value.PathAndQuery == "/" && value.Fragment.Length == 0 && value.UserInfo.Length == 0;
        return fits || place.Refuse($"\"{text}\" is no address of a hub.", $"Write scheme, host and port, such as {sample}; http only for a hub on this machine.");
    }
}
