using System.Buffers.Text;
using System.Diagnostics.CodeAnalysis;
using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;
using KitMesh.Domain.Reports;

namespace KitMesh.Protocol.Certificates;

/// <summary>Pins a key: SHA-256 over its SubjectPublicKeyInfo (as RFC 7469 pins keys), written in base64url.</summary>
public static class KeyPin
{
    /// <summary>The pin of a certificate's key.</summary>
    /// <param name="certificate">The certificate.</param>
    public static Sha256Hash Of(X509Certificate2 certificate)
    {
        ArgumentNullException.ThrowIfNull(certificate);
        return Sha256Hash.Of(certificate.PublicKey.ExportSubjectPublicKeyInfo());
    }

    /// <summary>As text: 43 characters of base64url.</summary>
    /// <param name="pin">The pin.</param>
    public static string Text(Sha256Hash pin)
    {
        Span<byte> bytes = stackalloc byte[32];
        pin.CopyTo(bytes);
        return Base64Url.EncodeToString(bytes);
    }

    /// <summary>From text.</summary>
    /// <param name="text">43 characters of base64url.</param>
    /// <param name="pin">The pin.</param>
    public static bool TryParse([NotNullWhen(true)] string? text, out Sha256Hash pin)
    {
        pin = default;
        byte[] bytes = new byte[33];
        if (text is not { Length: 43 } || !Base64Url.IsValid(text) || !Base64Url.TryDecodeFromChars(text, bytes, out int written) || written != 32)
        {
            return false;
        }

        pin = Sha256Hash.Read(bytes.AsSpan(0, 32));
        return true;
    }
}
