using System.Security.Cryptography;
using System.Text;
using KitMesh.Domain.Reports;

namespace KitMesh.Protocol.Certificates;

/// <summary>Shows that both sides know a code, without telling it, and ties it to the keys that both see.</summary>
/// <remarks>
/// <para>
/// Problem: before it is enrolled a device cannot know whether it talks to the hub or to somebody in between, and a typed
/// code has no room for the hub's key. Trap: a code that is simply sent can be used by whoever caught it. Method: each side
/// sends an HMAC-SHA256 (RFC 2104) keyed by the code over what it sees: the key of the TLS connection, the request, and in
/// the answer the certificates. Somebody in between has another key, so the device's proof is worth nothing at the hub, and
/// cannot make the hub's proof. Guessing the 70 secret bits from a caught proof takes longer than the code lives.
/// </para>
/// </remarks>
public static class EnrolProof
{
    /// <summary>Bytes of a proof.</summary>
    public const int Size = 32;

    /// <summary>The device's proof.</summary>
    /// <param name="code">The code.</param>
    /// <param name="pin">The key that the TLS connection showed.</param>
    /// <param name="request">The PKCS #10 request, DER.</param>
    public static byte[] OfDevice(EnrolCode code, Sha256Hash pin, ReadOnlySpan<byte> request) =>
        Mac(code, "kitmesh enrol device 1\0", pin, SHA256.HashData(request));

    /// <summary>The hub's proof.</summary>
    /// <param name="code">The code.</param>
    /// <param name="pin">The key that the TLS connection showed.</param>
    /// <param name="request">The PKCS #10 request, DER.</param>
    /// <param name="certificate">The new certificate, DER.</param>
    /// <param name="issuer">Its issuer, DER; empty when the root issued it.</param>
    /// <param name="root">The trip root, DER.</param>
    public static byte[] OfHub(
        EnrolCode code,
        Sha256Hash pin,
        ReadOnlySpan<byte> request,
        ReadOnlySpan<byte> certificate,
        ReadOnlySpan<byte> issuer,
        ReadOnlySpan<byte> root) =>
        Mac(
            code,
            "kitmesh enrol hub 1\0",
            pin,
            SHA256.HashData(request),
            SHA256.HashData(certificate),
            SHA256.HashData(issuer),
            SHA256.HashData(root));

    /// <summary>Compares in a time that tells nothing.</summary>
    /// <param name="proof">What came.</param>
    /// <param name="expected">What it must be.</param>
    public static bool Agrees(ReadOnlySpan<byte> proof, ReadOnlySpan<byte> expected) => CryptographicOperations.FixedTimeEquals(proof, expected);

    private static byte[] Mac(EnrolCode code, string label, Sha256Hash pin, params ReadOnlySpan<byte[]> hashes)
    {
        ArgumentNullException.ThrowIfNull(code);
        using var mac = IncrementalHash.CreateHMAC(HashAlgorithmName.SHA256, code.Key());
        mac.AppendData(Encoding.ASCII.GetBytes(label));
        mac.AppendData(pin.ToArray());
        foreach (byte[] hash in hashes)
        {
            mac.AppendData(hash);
        }

        return mac.GetHashAndReset();
    }
}
