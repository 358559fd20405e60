using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;
using System.Text;
using KitMesh.Disk;
using KitMesh.Protocol.Certificates;

namespace KitMesh.Hub.Enrolment;

/// <summary>The encrypted spare copy of the trip root, for another person's case.</summary>
/// <remarks>
/// PKCS #8 (RFC 5958) encrypted by PBES2 (RFC 8018): PBKDF2 with HMAC-SHA256 and 600,000 rounds (the count that OWASP's
/// Password Storage Cheat Sheet gave for it in 2023), AES-256-CBC; the root's certificate follows in the same file. Any tool
/// that reads PEM can open it with the passphrase.
/// </remarks>
public static class RootSpare
{
    /// <summary>Rounds of PBKDF2.</summary>
    public const int Rounds = 600_000;

    /// <summary>Fewest characters of a passphrase.</summary>
    public const int LeastCharacters = 12;

    /// <summary>Writes the spare copy.</summary>
    /// <param name="folder">The hub's identity.</param>
    /// <param name="file">Where to; it must not be there yet.</param>
    /// <param name="passphrase">At least 12 characters.</param>
    /// <exception cref="HubStartException">This hub holds no root, or the file is there already.</exception>
    public static void Write(HubIdentityFolder folder, string file, string passphrase)
    {
        ArgumentNullException.ThrowIfNull(folder);
        ArgumentNullException.ThrowIfNull(passphrase);
        ArgumentOutOfRangeException.ThrowIfLessThan(passphrase.Length, LeastCharacters, nameof(passphrase));
        if (!folder.HoldsRootKey)
        {
            throw new HubStartException($"The hub in {folder.Location} holds no trip root: only the first hub of a trip does, once it ran with an https address.");
        }

        if (File.Exists(file))
        {
            throw new HubStartException($"{file} is there already. Name a new file; an old spare copy is never written over.");
        }

        using ECDsa key = folder.ReadRootKey();
        using X509Certificate2 root = folder.ReadRoot();
        var strength = new PbeParameters(PbeEncryptionAlgorithm.Aes256Cbc, HashAlgorithmName.SHA256, Rounds);
        string text = $"{key.ExportEncryptedPkcs8PrivateKeyPem(passphrase, strength)}\n{root.ExportCertificatePem()}\n";
        PrivateFile.Write(file, Encoding.ASCII.GetBytes(text));
    }

    /// <summary>Brings a root back into a data folder that has none.</summary>
    /// <param name="file">The spare copy.</param>
    /// <param name="passphrase">Its passphrase.</param>
    /// <param name="folder">The identity of the hub that holds it from now on.</param>
    /// <exception cref="HubStartException">The folder has a root, or the file or the passphrase is wrong.</exception>
    public static void Restore(string file, string passphrase, HubIdentityFolder folder)
    {
        ArgumentNullException.ThrowIfNull(folder);
        if (folder.HasRoot)
        {
            throw new HubStartException($"The hub in {folder.Location} belongs to a trip already. Use another data folder.");
        }

        try
        {
            string text = File.ReadAllText(file);
            using ECDsa key = ECDsa.Create();
            key.ImportFromEncryptedPem(text, passphrase);
            using X509Certificate2 root = X509Certificate2.CreateFromPem(text);
            bool fits = root.PublicKey.ExportSubjectPublicKeyInfo().AsSpan().SequenceEqual(key.ExportSubjectPublicKeyInfo());
            if (!fits || new TripTrust(root).Trip.Length == 0)
            {
                throw new CryptographicException("Key and certificate do not fit together.");
            }

            folder.SaveRoot(root, key);
        }
        catch (Exception failure) when (failure is CryptographicException or ArgumentException)
        {
            throw new HubStartException($"{file} is no spare copy of a trip root, or the passphrase is wrong. Nothing was changed.", failure);
        }
    }
}
